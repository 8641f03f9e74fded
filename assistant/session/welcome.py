"""What is offered before any job is open: to go on with one, the last car once more, or a new one. A yes takes it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from assistant.english import live as texts
from assistant.language.commands import control_of
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected
from assistant.language.numbers import say_whole
from assistant.language.plain import plain_words
from assistant.language.speech import Sentence
from assistant.ports import Listening, Screen, View, Voice
from assistant.record.summary import Summary
from assistant.session.live import BLOCK_WAIT_S, Ears
from assistant.session.losses import Losses

MOST_OFFERED = 3
"""More open jobs than this are not read out one by one. Source: judgement."""

LEAVES = frozenset({Control.STOP, Control.END_JOB})
ANSWERS = Expected(controls=frozenset({Control.YES, Control.NO, Control.SAY_AGAIN, *LEAVES}))

_MADE_UP = re.compile(r"(?P<procedure>.+) \d{4}-(?P<month>\d\d)-(?P<day>\d\d) \d\d-\d\d-\d\d [0-9a-f]{4}")
"""The name of a job that nobody named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A question, and what a yes to it takes. `job`: the one to go on with; empty for a new one. `same_car`: the job
    that left the car of the new one; empty for another car."""

    question: str
    job: str = ""
    same_car: str = ""


NEW = Offer(question=texts.NEW_JOB)


def offers(jobs: Sequence[Summary]) -> tuple[Offer, ...]:
    """What may be taken, the likeliest first. `jobs`: newest first."""
    going = [each for each in jobs if not each.ended][:MOST_OFFERED]
    on = [Offer(question=texts.go_on_with(spoken_name(each.job)), job=each.job) for each in going]
    ended = [each for each in jobs[:1] if each.ended]
    last = [Offer(question=texts.new_job_on(spoken_name(each.job)), same_car=each.job) for each in ended]
    return (*on, *last, NEW)


def spoken_name(job: str) -> str:
    """The job's name as a person says it: "the grey hatchback"; a name made of the time by its day."""
    made = _MADE_UP.fullmatch(job)
    if made is None:
        return texts.job_by_name(" ".join(job.replace("-", " ").replace("_", " ").split()))
    return texts.job_of_a_day(made["procedure"].replace("-", " "), int(made["month"]), say_whole(int(made["day"])))


class Welcome:
    """Puts the offers one after the other. `heard`: what gives the next thing said, None at the end."""

    def __init__(self, *, voice: Voice, screen: Screen, heard: Callable[[], Control | None]) -> None:
        self._voice = voice
        self._screen = screen
        self._heard = heard
        self._turn = 0  # falls: those of a job count up from one

    def choose(self, offered: Sequence[Offer]) -> Offer | None:
        """The one that was taken; None for none. Silence takes nothing."""
        for offer in offered:
            self._ask(offer.question)
            while (control := self._heard()) not in (Control.YES, Control.NO):
                if control is None or control in LEAVES:
                    return None
                self._ask(offer.question)
            if control is Control.YES:
                return offer
        return None

    def _ask(self, question: str) -> None:
        self._turn -= 1
        said = texts.yes_or_no(question)
        view = View(
            job="", title="hoodside", step="", mode="asking", instruction=question, caution_signal=None, caution=None,
            said=(said,), can_say=("yes", "no", "stop"), heard=None, countdown_s=None, open_items=(), turn=self._turn,
        )  # fmt: skip
        self._screen.show(view)
        self._voice.say((Sentence(text=said, kind="prompt"),))


def typed_answers(lines: Iterator[str]) -> Callable[[], Control | None]:
    """What is typed, a line each; what is no answer counts as "say again"."""

    def heard() -> Control | None:
        for line in lines:
            if line.strip():
                return _understood(line)
        return None

    return heard


def spoken_answers(ears: Ears, voice: Voice) -> Callable[[], Control | None]:
    """What is said; over our own question only stop counts, and what was not surely heard, or not from its beginning,
    is asked again. None at the end of a sound file. Raises DeviceLost."""
    ears.recogniser.expect(Listening(grammar=grammar_of(ANSWERS)))
    losses = Losses()

    def heard() -> Control | None:
        while True:
            try:
                block = ears.microphone.read(BLOCK_WAIT_S)
            except EOFError:
                last = ears.recogniser.finish()
                sure = last is not None and not losses.doubted(last).unsure
                return _understood(last.words) if last is not None and last.words and sure else None
            speaking = voice.speaking
            if block is not None:
                losses.note(block)
            said = ears.recogniser.accept(block) if block is not None else None
            if said is None or said.words is None:
                continue
            control = _understood(said.words)
            if control is Control.STOP:
                voice.stop()
            if control is Control.STOP or not speaking:
                return control if not losses.doubted(said).unsure or control in LEAVES else Control.SAY_AGAIN

    return heard


def _understood(words: str) -> Control:
    control = control_of(plain_words(words))
    return control if control in ANSWERS.controls and control is not None else Control.SAY_AGAIN
