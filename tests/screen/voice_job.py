"""A whole job of no-start by voice through a phone's page: led, to its finding, its repair and the check of that."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field

from assistant.guide import Mode
from assistant.session.adviser import Adviser
from tests.procedures.fault_player import usual_answers
from tests.screen.stage import PUMP_FUSE
from tests.screen.voice_stage import PhoneRoom, VoiceStage
from tests.session.dialogue_player import Leader

ANSWERS = {**{step: said[0] for step, said in usual_answers().items()}, **PUMP_FUSE}
"""What the car shows, "procedure/step" -> what is said there."""

PATIENCE_S = 60.0
"""For what comes of a word: dictation takes seconds on a machine that has other work."""


@dataclass
class Told:
    """How it went. `said`: words said; `unheard`: of these, what nothing came of, and was said again; `otherwise`: what
    was taken for something else, with what it was taken for."""

    said: int = 0
    unheard: list[str] = field(default_factory=list)
    otherwise: list[tuple[str, str]] = field(default_factory=list)


def wanted_at(library, procedure, step):
    """The result that the car gives there; None where that is no result's own phrase."""
    said = ANSWERS.get(f"{procedure}/{step}")
    return next((one.id for one in library[procedure].step(step).results if said in one.phrases), None)


class CarefulRoom(PhoneRoom):
    """Somebody who listens to the read-back: says no to what was taken for something else, and then the words again."""

    def __init__(self, stage, page, mouth, library, told):
        super().__init__(stage, page, mouth)
        self._library = library
        self.told = told

    def type(self, line):
        """Say it until it has led on as it was meant."""
        if line.startswith("@"):
            return super().type(line)
        asked = self.conversation.showing.asked
        for _ in range(4):
            if line == "yes" and self._read_back_wrongly():
                self._heard("no")
                return []
            heard = self._heard(line)
            if not heard and self.conversation.showing.asked > asked:
                return []  # it was taken late
            if heard == line:
                return []
            if not heard:
                self.told.unheard.append(line)
                continue
            self.told.otherwise.append((line, heard))
            if self.conversation.state.mode is not Mode.CONFIRMING or line in ("yes", "no"):
                return []
            self._heard("no")
        raise AssertionError(f"{line!r} led nowhere: {self.stage.turns.getvalue()[-3_000:]}")

    def _read_back_wrongly(self):
        """Whether what waits for a yes is another result than the car would give."""
        state, pending = self.conversation.state, self.conversation.state.pending
        if state.mode is not Mode.CONFIRMING or pending is None or pending.kind != "result":
            return False
        wanted = wanted_at(self._library, state.at.procedure, state.at.step)
        return wanted is not None and pending.name != wanted

    def _heard(self, line):
        """What it was heard as, once that has led on; empty where nothing came of it."""
        asked, before = self.conversation.showing.asked, len(self._turns())
        self.say(line)
        self.told.said += 1
        self.came(lambda: self._taken(before), PATIENCE_S)  # a turn is written after its question is counted
        if self.conversation.showing.asked == asked:
            return ""
        heard = next((turn["heard"] for turn in self._turns()[before:] if turn["heard"]), "")
        return re.sub(r"[^\w' ]", "", heard.lower()).strip()  # dictation writes commas

    def _turns(self):
        return [json.loads(turn) for turn in self.stage.turns.getvalue().splitlines()]

    def _taken(self, before):
        since = self._turns()[before:]
        return any(turn["heard"] or str(turn["command"]).startswith("unclear") for turn in since)


def whole_job(library, reasoner, page, mouth, killed_at="no-start/codes", **wishes):
    """Lead it by voice; the server is killed where that step asks, and the job taken up again on the same page. The
    last stage, and how it went. `wishes`: as a stage takes them."""
    told = Told()
    job = VoiceStage(library, procedure="no-start", adviser=Adviser(reasoner, library), leads=True, **wishes)
    room = CarefulRoom(job, page, mouth, library, told)
    try:
        room.let_in()
        job.begin()
        Leader(room, library, ANSWERS).until(killed_at)
        ports, journal, before = job.ports, job.journal, len(job.facts)
        job.close()
        page.wait_for_selector("body[data-line=down]")
        adviser = Adviser(reasoner, library, journal.facts("grey-hatchback"))
        job = VoiceStage(library, adviser=adviser, journal=journal, ports=ports, **wishes)
        assert len(job.facts) == before
        page.wait_for_url("**/pair")  # the new server knows no phone yet
        room = CarefulRoom(job, page, mouth, library, told)
        room.let_in()
        job.go_on()
        lead = Leader(room, library, ANSWERS)
        while not job.conversation.state.finding:
            lead.next_line()
        room.type("repair done")
        lead.until(None)
        page.wait_for_selector("body[data-ended=yes]")
    finally:
        job.close()
    return job, told
