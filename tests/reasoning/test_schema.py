"""The published schema of fault models and their reader say the same of every file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from assistant.reasoning.reader import check_model_text
from assistant.reasoning.schema import schema
from tests.changed_values import changed, places

ROOT = Path(__file__).parents[2]
PUBLISHED = ROOT / "procedures" / "fault-model.schema.json"
SHIPPED = sorted((ROOT / "procedures").glob("*.faults.yaml"))
SMALL = sorted((ROOT / "tests" / "outside" / "fault_models").glob("*.faults.yaml"))
VALIDATOR = Draft202012Validator(schema())
FREE = ("likely", "default", "given", "results")
"""Tables whose keys are names of the file itself."""


def test_the_published_file_is_the_schema() -> None:
    """What editors load is what the code says; to renew it, write the text of `schema()` with an indent of 2."""
    Draft202012Validator.check_schema(schema())
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == schema()


@pytest.mark.parametrize("file", [*SHIPPED, *SMALL], ids=lambda file: file.name)
def test_accepts_every_sound_file(file: Path) -> None:
    """No model of ours is underlined in an editor."""
    assert [error.message for error in VALIDATOR.iter_errors(yaml.safe_load(file.read_text(encoding="utf-8")))] == []


@pytest.mark.parametrize("to", [..., "a-key-too-many", "", -1, True, None, [["x"]], {"k": "v"}], ids=repr)
def test_agrees_with_the_reader_on_every_change(to: object) -> None:
    """Each value of a file taken out or replaced: what the schema refuses the reader refuses too; and of keys and types
    the reader refuses nothing that the schema lets pass."""
    file = SMALL[-1]
    value = yaml.safe_load(file.read_text(encoding="utf-8"))
    refused_some = False
    for path in places(value):
        mutant = changed(value, path, to)
        refused = not VALIDATOR.is_valid(mutant)
        by_reader = bool(check_model_text(file.name, json.dumps(mutant)))
        assert by_reader or not refused, f"only the schema refuses {to!r} at {path}"
        by_type = to is True or to is None or to in ({"k": "v"}, [["x"]])
        if by_type and not set(path) & set(FREE):
            assert refused or not by_reader, f"only the reader refuses {to!r} at {path}"
        refused_some = refused_some or refused
    assert refused_some
