"""One rehearsal from its first word to its documents."""

from __future__ import annotations

import shutil
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.errors import UsageError
from assistant.guide import Library, State
from assistant.ports import SAMPLE_RATE_HZ, Recogniser, Synthesiser, View
from assistant.reasoning.reasoner import make_reasoner
from assistant.record.build import build_record
from assistant.record.html import html_text
from assistant.record.plain import json_text
from assistant.rehearsal.cars import MadeUpCar
from assistant.rehearsal.compare import Dictation, dictations, differences
from assistant.rehearsal.play import Exchange, Stage, play
from assistant.rehearsal.shop import Shop
from assistant.rehearsal.technician import OwnWords, Technician
from assistant.session.adviser import Adviser
from assistant.session.conversation import Conversation
from assistant.session.opening import start_job
from assistant.session.trace import Trace
from assistant.wiring import can_lead, load_library, make_adviser, model_for, open_journal, shipped_procedures
from assistant.wiring.stage import local_time, speak_through, technicians_synthesiser

SNR_DB = 15.0
SEED = 20

Alter = Callable[[str, NDArray[np.int16]], NDArray[np.int16]]
"""Words about to be spoken and their samples -> the samples that are played instead; for tests of the rehearsal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a rehearsal came to. `differences`: empty when the record says what was said. `dictated`: free words, as
    said and as kept."""

    state: State
    exchanges: tuple[Exchange, ...]
    differences: tuple[str, ...]
    dictated: tuple[Dictation, ...]
    sound_s: float


class StageSpeaker:
    """A speaker that lays what is played on the stage, where only the timeline hears it."""

    def __init__(self, stage: Stage) -> None:
        self._stage = stage

    @property
    def rate_hz(self) -> int:
        """The rate of the stage."""
        return SAMPLE_RATE_HZ

    @property
    def playing(self) -> bool:
        """Never: sound takes its time at once."""
        return False

    def play(self, pcm: NDArray[np.int16]) -> None:
        """Lay the samples; the stage's time goes on by their length."""
        self._stage.assistant_spoke(pcm)

    def duck(self, softer: bool) -> None:
        """Nobody hums while the assistant speaks."""

    def cut(self) -> None:
        """Nothing is still to go out."""

    def played(self, start_s: float, frames: int) -> NDArray[np.int16]:
        """The made-up microphone does not hear the assistant, so there is nothing to tell apart: zeros."""
        return np.zeros(frames, dtype=np.int16)

    def close(self) -> None:
        """Nothing to free."""


class NoScreen:
    """Nobody looks."""

    def show(self, view: View) -> None:
        """Draw nothing."""

    def close(self) -> None:
        """Nothing to give back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cast:
    """Who works on the car, and where. `snr_db`: the voice over the shop, power to power. `voice`: the technician's, or
    None for our own; it is closed at the end. `own_words`: what is said in place of the phrases."""

    snr_db: float = SNR_DB
    seed: int = SEED
    voice: Synthesiser | None = None
    own_words: OwnWords = field(default_factory=dict)


class AlteredVoice:
    """The technician's synthesiser with samples changed on their way, for tests."""

    def __init__(self, synthesiser: Synthesiser | None, alter: Alter | None) -> None:
        self._synthesiser = synthesiser or technicians_synthesiser()
        self._alter = alter

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """The text spoken, altered where a test wants it so."""
        pcm = self._synthesiser.render(text, words_per_minute=words_per_minute, rate_hz=rate_hz)
        return pcm if self._alter is None else self._alter(text, pcm)

    def close(self) -> None:
        """Free the engine."""
        self._synthesiser.close()


AS_SHOWN = Cast()
"""As the README's first command shows it."""


def rehearse(
    procedure: str,
    car: MadeUpCar,
    out: Path,
    recogniser: Recogniser,
    tell: Callable[[Exchange], None],
    *,
    cast: Cast = AS_SHOWN,
    alter: Alter | None = None,
) -> Outcome:
    """Play one made-up car in folder `out`: session.wav, record.json, report.html, trace.jsonl and the store.

    Raises UsageError when the folder cannot be written, SetupError when the machine cannot speak or hear.
    """
    procedure_id, library = load_library(procedure)
    data = _fresh(out)
    journal = open_journal(data, invented=True)
    voice = AlteredVoice(cast.voice, alter)
    stage = Stage(shop=Shop(snr_db=cast.snr_db, seed=cast.seed), voice=voice, recogniser=recogniser)
    speech = speak_through(StageSpeaker(stage))
    model = model_for(procedure_id, None if procedure_id in shipped_procedures() else procedure)
    with (out / "trace.jsonl").open("w", encoding="utf-8") as trace:
        conversation = Conversation(
            library=library,
            journal=journal,
            voice=speech,
            screen=NoScreen(),
            trace=Trace(trace),
            adviser=make_adviser(journal, library, model, recogniser) if model else None,
        )
        start_job(
            conversation,
            library=library,
            journal=journal,
            procedure=procedure_id,
            job=car.name,
            file=procedure,
            key=uuid.uuid4().hex,
            vehicle=car.vehicle,
            always_confirm=recogniser.always_confirm,
            ear=False,
            model=model,
            leads=car.led and can_lead(model),
        )
        technician = Technician(car, library, cast.own_words)
        exchanges = []
        for exchange in play(stage, technician, conversation):
            exchanges.append(exchange)
            tell(exchange)
    names = {fault.id: fault.say for fault in model.faults} if model else {}
    record = build_record(journal.entries(car.name), library, names)
    facts = journal.facts(car.name)
    journal.close()
    voice.close()
    speech.close()
    stage.finish(out / "session.wav")
    (out / "record.json").write_text(json_text(record), encoding="utf-8")
    (out / "report.html").write_text(html_text(record, local_time), encoding="utf-8")
    return Outcome(
        state=conversation.state,
        exchanges=tuple(exchanges),
        differences=differences(facts, technician.meant, car.finding, technician.dictated),
        dictated=dictations(facts, technician.dictated),
        sound_s=stage.now_s,
    )


def plan_adviser(procedure_id: str, procedure: str, library: Library) -> Adviser | None:
    """Who chooses for a plan, without a store; None where none can lead."""
    model = model_for(procedure_id, None if procedure_id in shipped_procedures() else procedure)
    return Adviser(make_reasoner(model), library) if model is not None and can_lead(model) else None


def _fresh(out: Path) -> Path:
    """A store of its own for this rehearsal, without the jobs of an earlier one. Raises UsageError."""
    data = out / "store"
    try:
        out.mkdir(parents=True, exist_ok=True)
        if data.is_dir():
            shutil.rmtree(data)
        data.mkdir()
    except OSError as error:
        raise UsageError(f"'{out}' cannot be written: {error.strerror or error}; name another with --out.") from error
    return data
