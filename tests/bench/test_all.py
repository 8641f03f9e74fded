"""The gatherer of measures: numbers by name, ratios to yardsticks, and a part that fails is told and left out."""

from __future__ import annotations

import json

import pytest

from assistant.__main__ import run
from assistant.bench import all as every


def told(arguments):
    """Made-up benches."""
    part = arguments[1]
    if part == "reason":
        raise ValueError("exit code 3: no such thing")
    return {"append_p99_ms": 3.0, "plain_p99_ms": 2.0, "small": {"append_p99_ms": 1.5}, "ok": True, "words": "no"}


def test_numbers_come_by_their_way_with_ratios() -> None:
    """A yardstick of the same run stands beside what it belongs to; truth values and words are no numbers."""
    measures, failed = every.gather(told, {"record": (), "reason": ("--cars", "10")})
    found = {one.name: one for one in measures}
    assert found["record.append_p99_ms"].ratio == 1.5
    assert found["record.append_p99_ms"].yardstick == "record.plain_p99_ms"
    assert found["record.small.append_p99_ms"].value == 1.5 and found["record.small.append_p99_ms"].ratio is None
    assert not {"record.ok", "record.words"} & found.keys()
    assert failed == {"reason": "exit code 3: no such thing"}
    assert {"record.took_s", "reason.took_s"} <= found.keys()


@pytest.mark.parametrize("how", [["all"], ["--all"]])
def test_the_command_prints_one_json_value(how, monkeypatch, capsys) -> None:
    """As `bench all` and as `bench --all`; exit code 1 since one part gave nothing."""
    monkeypatch.setattr(every, "as_program", told)
    assert run(["bench", *how, "--json"]) == 1
    printed = json.loads(capsys.readouterr().out)
    assert printed["failed"].keys() == {"reason"} and len(printed["measures"]) > len(every.PARTS)


def test_each_part_and_its_counts_are_taken_by_its_bench() -> None:
    """A bench whose options were renamed would give no numbers any more."""
    for part, arguments in every.PARTS.items():
        with pytest.raises(SystemExit):
            every_command(part).main([*arguments, "--help"])


def every_command(part):
    """The bench of that name."""
    from importlib import import_module  # noqa: PLC0415 - each needs much of its own

    return import_module(f"assistant.bench.{part}").command
