"""The table of attacks: made, not written; nothing in it goes unfound without a reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.bench import attacks
from assistant.bench.attack_world import World, build
from assistant.bench.attacks import ATTACKS, FOUND, NOT_FINDABLE, TOLD, Row, measure_attacks, table
from assistant.bench.attacks_on_store import Attack


@pytest.fixture(scope="module")
def rows(tmp_path_factory: pytest.TempPathFactory) -> tuple[Row, ...]:
    """Every attack, made once."""
    return measure_attacks(tmp_path_factory.mktemp("attacks"))


def test_at_least_25_attacks_on_each_of_the_five(rows: tuple[Row, ...]) -> None:
    """On store, exports, reports, clips and clock."""
    assert len(rows) >= 25
    assert {row.on for row in rows} == {"store", "export", "report", "clips", "clock"}


def test_each_is_found_or_told_or_cannot_be(rows: tuple[Row, ...]) -> None:
    """None goes unfound; what is only told is what may have an honest reason."""
    assert [row.attack for row in rows if row.answer not in (FOUND, TOLD, NOT_FINDABLE)] == []
    assert {row.on for row in rows if row.answer == TOLD} <= {"clock", "export"}


def test_what_cannot_be_found_says_why_and_no_anchor_would_help(rows: tuple[Row, ...]) -> None:
    """Two: before anything left, and a sheet of paper, which no machine reads."""
    hopeless = [row for row in rows if row.answer == NOT_FINDABLE]
    assert len(hopeless) == 2
    assert all(len(row.by) > 40 for row in hopeless)


@pytest.mark.parametrize("whole", ["the same by somebody with the whole account", "a job deleted by somebody"])
def test_what_only_an_anchor_outside_knows_is_found_against_it(rows: tuple[Row, ...], whole: str) -> None:
    """Who has key and account leaves nothing on the machine that tells: a report or export does."""
    found = [row for row in rows if row.attack.startswith(whole)]
    assert found and all(row.answer == FOUND and row.by.startswith("against") for row in found)


def test_a_check_that_finds_nothing_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An attack that nothing notices, and that gives no reason, is printed as not found: the table can fail."""
    monkeypatch.setattr(attacks, "ATTACKS", (Attack(name="nothing at all", on="store", does=lambda world: None),))
    (row,) = measure_attacks(tmp_path)
    assert row.answer == "NOT FOUND"
    assert "1 NOT FOUND, of 1 attacks" in table([row])


def test_the_shop_is_sound_before_it_is_attacked(tmp_path: Path) -> None:
    """What is found is the attack's doing: the checks say nothing of the shop as it is built."""
    world = World(root=tmp_path / "shop")
    build(world)
    verdicts = [verdict for _, verdict in attacks._checks(world, ATTACKS[0])]
    assert len(verdicts) == 3 and all(not verdict.wrong for verdict in verdicts)
