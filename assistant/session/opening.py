"""How a job is opened: begun under a new name, or taken up where it stood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from assistant.errors import UsageError
from assistant.facts import Fact, Left
from assistant.guide import Library, Mode, begin, fold, reopen
from assistant.language.manner import Manner
from assistant.ports import Archive
from assistant.reasoning.model import Model
from assistant.session.conversation import Conversation

LONGEST_JOB_NAME = 100


def check_job_name(name: str) -> str:
    """The name, if it may name a job. Raises UsageError: empty, too long, or with characters that cannot be seen."""
    if not name.strip() or name != name.strip():
        raise UsageError("A job name must not be empty, nor begin or end with a blank.")
    if len(name) > LONGEST_JOB_NAME:
        raise UsageError(f"A job name has at most {LONGEST_JOB_NAME} characters, not {len(name)}.")
    if not name.isprintable():
        raise UsageError("A job name must not hold line breaks or other characters that cannot be seen.")
    return name


def start_job(
    conversation: Conversation,
    *,
    library: Library,
    journal: Archive,
    procedure: str,
    file: str | None,
    job: str,
    key: str,
    vehicle: Mapping[str, str | float],
    always_confirm: bool,
    ear: bool,
    inherits: Left | None = None,
    offers: Left | None = None,
    manner: Manner = Manner.FULL,
    model: Model | None = None,
    leads: bool = False,
    voice: Mapping[str, Any] | None = None,
) -> None:
    """Begin a job. `inherits`: what earlier jobs left of the same car; `offers`: the last one of a car unknown.
    `manner`: how much is said. `leads`: a plan leads it. `voice`: how the speaker was wished last.

    The texts that lead it, `model` included, are kept first: it goes on with them whatever becomes of the files.
    Raises UsageError when the name is taken, RecordError when it cannot be kept.
    """
    if journal.facts(job):
        raise UsageError(f"There is a job '{job}' already; hoodside resume '{job}' takes it up.")
    texts = {each.digest: each.text for each in (*library.values(), *((model,) if model else ())) if each.text}
    journal.keep_texts(texts)
    conversation.open(
        begin(
            library,
            procedure,
            key,
            job,
            vehicle,
            always_confirm=always_confirm,
            ear=ear,
            file=file,
            inherits=inherits,
            offers=offers,
            manner=manner,
            model=model.digest if model else "",
            leads=leads,
            voice=voice,
        ),
    )


def resume_job(
    conversation: Conversation,
    *,
    library: Library,
    facts: Sequence[Fact],
    away_s: float,
    always_confirm: bool,
    ear: bool,
    manner: Manner | None = None,
    voice: Mapping[str, Any] | None = None,
) -> None:
    """Take a job up where it stood. `away_s`: seconds since its last fact, as far as proved, never less than zero.
    `manner`: how much is said from now on; None for as much as before. `voice`: how the speaker was wished last.

    Raises UsageError for a closed job, RecordError when its facts do not fit the procedures.
    """
    state = fold(library, facts)
    if state.mode is Mode.ENDED:
        raise UsageError(f"The job '{state.job}' is closed; see its record with: hoodside report '{state.job}'")
    at_s = state.at_s + max(0.0, away_s)
    turn = reopen(library, state, at_s, always_confirm=always_confirm, ear=ear, manner=manner, voice=voice)
    conversation.open(turn)
