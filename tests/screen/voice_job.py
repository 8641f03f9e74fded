"""A whole job of no-start by voice through a phone's page: led, to its finding, its repair and the check of that."""

from __future__ import annotations

import json
from dataclasses import dataclass, field

from assistant.guide import Mode
from assistant.session.adviser import Adviser
from tests.procedures.fault_player import usual_answers
from tests.screen.stage import PUMP_FUSE
from tests.screen.voice_stage import PhoneRoom, VoiceStage
from tests.session.dialogue_player import Leader

PATIENCE_S = 30.0
"""For what comes of a word: dictation takes seconds on a machine that has other work."""


@dataclass
class Told:
    """How it went. `said`: words said; `unheard`: of these, what nothing came of, and was said again; `otherwise`: what
    was taken for something else, with what it was taken for."""

    said: int = 0
    unheard: list[str] = field(default_factory=list)
    otherwise: list[tuple[str, str]] = field(default_factory=list)


class CarefulRoom(PhoneRoom):
    """Somebody who listens to the read-back: says no to what was taken for something else, and then the words again."""

    def __init__(self, stage, page, mouth, told):
        super().__init__(stage, page, mouth)
        self.told = told

    def type(self, line):
        """Say it until it has led on as it was meant."""
        if line.startswith("@"):
            return super().type(line)
        for _ in range(4):
            heard = self._heard(line)
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

    def _heard(self, line):
        """What it was heard as, once that has led on; empty where nothing came of it."""
        asked, before = self.conversation.showing.asked, len(self._turns())
        self.say(line)
        self.told.said += 1
        self.came(lambda: self._taken(before), PATIENCE_S)  # a turn is written after its question is counted
        if self.conversation.showing.asked == asked:
            return ""
        return next((turn["heard"].strip() for turn in self._turns()[before:] if turn["heard"]), "")

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
    room = CarefulRoom(job, page, mouth, told)
    try:
        room.let_in()
        job.begin()
        answers = {**{step: said[0] for step, said in usual_answers().items()}, **PUMP_FUSE}
        Leader(room, library, answers).until(killed_at)
        ports, journal, before = job.ports, job.journal, len(job.facts)
        job.close()
        page.wait_for_selector("body[data-line=down]")
        adviser = Adviser(reasoner, library, journal.facts("grey-hatchback"))
        job = VoiceStage(library, adviser=adviser, journal=journal, ports=ports, **wishes)
        assert len(job.facts) == before
        page.wait_for_url("**/pair")  # the new server knows no phone yet
        room = CarefulRoom(job, page, mouth, told)
        room.let_in()
        job.go_on()
        lead = Leader(room, library, answers)
        while not job.conversation.state.finding:
            lead.next_line()
        room.type("repair done")
        lead.until(None)
        page.wait_for_selector("body[data-ended=yes]")
    finally:
        job.close()
    return job, told
