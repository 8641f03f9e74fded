"""The rehearsal through the real recogniser: its record is what was said, and only that."""

from __future__ import annotations

import json
import re
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.cli.rehearse import DIFFERENT, play_cars
from assistant.ports import SAMPLE_RATE_HZ
from assistant.record.page.repair import fault_name
from assistant.rehearsal.ahead import things_to_say
from assistant.rehearsal.cars import EMPTY_TANK, MadeUpCar
from assistant.wiring import load_library, open_journal
from assistant.wiring.documents import record_of as record_of_job
from assistant.wiring.stage import technicians_synthesiser
from tests.rehearsal import short_job

MEANT = ("nothing changed", "out of the blue")
SAID_INSTEAD = "stood for weeks"
"""Another answer to the question what happened before; it leads on to the same place."""


def another_answer(text: str, pcm: NDArray[np.int16]) -> NDArray[np.int16]:
    """The samples of one answer, altered before they are played."""
    if text not in MEANT:
        return pcm
    return technicians_synthesiser().render(SAID_INSTEAD, words_per_minute=170, rate_hz=SAMPLE_RATE_HZ)


def record_of(folder: Path, car: MadeUpCar = EMPTY_TANK) -> dict[str, Any]:
    """The record that the rehearsal left, its results by step."""
    record = json.loads((folder / car.name / "record.json").read_text(encoding="utf-8"))
    return {entry["mark"]["step"]: entry["result"] for entry in record["results"]}


def test_the_record_is_what_was_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The short job at full noise: no difference, exit code 0, and the sound, the record and the report are there."""
    assert play_cars("no-start", [EMPTY_TANK], tmp_path) == 0, capsys.readouterr().out
    told = capsys.readouterr().out
    assert "Different" not in told
    procedure, library = load_library("no-start")
    said = re.search(r"(\d+) things said", told)
    assert said is not None and int(said[1]) <= things_to_say(library, procedure, EMPTY_TANK) + 1, (
        "nothing twice but one"
    )
    assert told.count("Dictated: said ") == 2, "the complaint and a note"
    assert "The record holds what was said; 2 dictated texts are not proofed." in told
    assert max(len(line) for line in told.splitlines() if str(tmp_path) not in line) <= 80
    assert record_of(tmp_path)["changed"] == "nothing"
    first = json.loads((tmp_path / EMPTY_TANK.name / "trace.jsonl").read_text(encoding="utf-8").splitlines()[0])
    assert "what do you think" in first["can_say"], "it thinks along as in a real session"
    files = {path.name for path in (tmp_path / EMPTY_TANK.name).iterdir()}
    assert {"session.wav", "record.json", "report.html", "trace.jsonl"} <= files
    with closing(open_journal(tmp_path / EMPTY_TANK.name / "store", invented=True)) as journal:
        kept = record_of_job(journal, EMPTY_TANK.name)
    assert fault_name(kept, "crank-sensor") == "a faulty crank sensor", "the store knows what the faults are called"


def test_one_altered_utterance_alters_the_record(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is recorded comes from the samples alone: other samples of one question's answer, another record, and exit
    code 1; the same samples, and it is what was meant."""
    procedure = short_job.written(tmp_path)
    assert play_cars(procedure, [short_job.CAR], tmp_path, alter=another_answer) == DIFFERENT
    told = capsys.readouterr().out
    assert "Different: meant short-job/changed: nothing, logged short-job/changed: stood." in told
    assert record_of(tmp_path, short_job.CAR)["changed"] == "stood"
    assert play_cars(procedure, [short_job.CAR], tmp_path) == 0, capsys.readouterr().out
    assert record_of(tmp_path, short_job.CAR)["changed"] == "nothing"
