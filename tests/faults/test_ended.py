"""The program is ended, killed or put to sleep at any moment: nothing acknowledged is lost, and the job is held."""

from __future__ import annotations

import os
import random
import signal
from pathlib import Path

import pytest

from assistant.adapters import clock_boot
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.english.live import SLEPT
from assistant.guide import Mode, fold
from assistant.language.model import BY_MACHINE
from assistant.language.speech import Tone
from assistant.session.watchdog import SLEPT_S
from assistant.wiring import load_library
from tests.session.live_shop import TO_THE_CRANK, Shop
from tests.session.program import Program, next_lines, read_once

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that can fork")
ENDS = {signal.SIGTERM: 143, signal.SIGINT: 130, signal.SIGHUP: 129}
"""Exit codes by signal. `tests/session/test_killed.py` kills by SIGKILL, fifty times."""


def ended_at_random(folder: Path, times: int, seed: int) -> dict[int, int]:
    """End sessions of one store at random moments; how often by each signal. Each must leave what it had shown."""
    chance = random.Random(seed)
    read_once(folder / "read")
    _, library = load_library("no-start")
    counts = dict.fromkeys(ENDS, 0)
    job, shown = "", []
    for number in range(times):
        begins = not job or chance.random() < 0.2
        if begins:
            job, shown = f"car {number}", []
            program = Program(folder, ["start", "no-start", "--job", job, "--vehicle", "fuel=petrol"])
        else:
            program = Program(folder, ["resume", job])
        program.read(1)
        program.type(next_lines(chance, program.turns[-1], 6))
        program.read(chance.randrange(7))
        by = list(ENDS)[number % len(ENDS)]
        code = program.kill(by)
        assert code == ENDS[by], (number, by, code)
        counts[by] += 1
        shown += [fact["id"] for turn in program.turns for fact in turn["facts"]]
        journal = SqliteJournal(folder, lambda: "2031-05-01T09:00:00.000Z")
        facts = journal.facts(job)
        assert not journal.damage() and not journal.line_faults()
        journal.close()
        assert [fact.id for fact in facts[: len(shown)]] == shown, (number, by)
        shown = [fact.id for fact in facts]
        assert fold(library, facts).job == job
        if any(turn["mode"] == "ended" for turn in program.turns):
            job = ""
    return counts


@needs_fork
def test_ended_by_each_signal_at_random_moments(tmp_path: Path, row) -> None:
    """Ends by SIGTERM, Ctrl-C and a closed terminal; the campaign makes five hundred of them."""
    counts = ended_at_random(tmp_path, 3, seed=20261128)
    assert all(counts.values())
    row(
        f"SIGTERM, SIGINT, SIGHUP at {sum(counts.values())} random points (SIGKILL at 16, long 50: tests/session)",
        told="standard error: ended by ..., nothing recorded is lost (SIGKILL: nothing)",
        within_s=0.0,
        kept="every fact that was shown, and at most the append in flight",
        goes_on="`hoodside resume` from that fact on",
    )


@needs_fork
@pytest.mark.campaign
def test_ended_five_hundred_times(tmp_path: Path) -> None:
    """The same for half an hour of a machine's time."""
    assert sum(ended_at_random(tmp_path, 500, seed=5).values()) == 500


class Lid:
    """How long the machine has slept."""

    def __init__(self):
        self.slept_s = 100.0

    def __call__(self):
        """So far."""
        return self.slept_s


def test_the_computer_sleeps_in_the_middle_of_a_burst(library, row) -> None:
    """No tone goes on where hours lie between: it is told, the burst is broken off, the key is to be released."""
    lid = Lid()
    shop = Shop(library, "cranking-check", asleep_s=lid)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    while not any(isinstance(each, Tone) for each in shop.voice.said):
        shop.loop.step()
    lid.slept_s += 3_600.0
    at_s = shop.now_s
    shop.loop.step()
    within_s = shop.now_s - at_s
    assert shop.sentences[-4:] == [SLEPT, "Release the key.", "Stopped.", "Say resume to go on."]
    assert shop.conversation.state.mode is Mode.HELD
    asked = next(fact for fact in shop.journal.facts("job") if fact.data.get("hearing", {}).get("engine") == BY_MACHINE)
    assert asked.data["hearing"]["confidence"] == 1.0
    shop.pass_blocks(50)
    assert shop.sentences.count(SLEPT) == 1
    shop.hear("resume")
    assert shop.conversation.state.mode is not Mode.TIMING  # cautions come anew before the starter turns
    row(
        "the computer sleeps and wakes",
        told="voice: the computer was asleep; release the key; stopped",
        within_s=within_s,
        kept="every fact; the hold is a fact, given by the machine",
        goes_on="say resume: cautions are asked anew; sleep counts for no wait but by the machine's own clock",
    )


def test_two_clocks_read_one_after_the_other_are_no_sleep(library) -> None:
    """A difference of less than two seconds does nothing; many such do not add up unseen."""
    lid = Lid()
    shop = Shop(library, asleep_s=lid)
    shop.fall_silent()
    lid.slept_s += SLEPT_S * 0.9
    shop.pass_blocks(3)
    assert SLEPT not in shop.sentences
    lid.slept_s += SLEPT_S * 0.9
    shop.pass_blocks(1)
    assert SLEPT in shop.sentences


def test_a_machine_that_cannot_tell_its_sleep(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without such a clock nothing is ever held; with one the time asleep is no less than nothing."""
    assert clock_boot.asleep_s() >= 0.0
    monkeypatch.delattr("time.CLOCK_BOOTTIME")
    assert clock_boot.asleep_s() == 0.0
