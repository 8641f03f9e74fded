"""The published schema and the reader say the same of every file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from assistant.language.commands import command_phrases
from assistant.procedure.checks import check_texts
from assistant.procedure.fault import Faults
from assistant.procedure.nodes import plain, read_nodes
from assistant.procedure.reader import read_procedure
from assistant.procedure.schema import schema
from tests.broken import broken
from tests.changed_values import changed, places

ROOT = Path(__file__).parent.parent.parent
PUBLISHED = ROOT / "procedures" / "procedure.schema.json"
BROKEN = {file.name: file for file in broken(".yaml")}
VALIDATOR = Draft202012Validator(schema())
NOT_IN_ONE_VALUE = {"wrong-name"}
"""Broken files whose fault of shape no schema can see: the name of the file."""


def value_of(text: str) -> object | None:
    """The values of a file, or None where it is not YAML without fault."""
    faults = Faults("x.yaml")
    root = read_nodes(text, faults)
    return None if root is None or len(faults) else plain(root)


VALUES = {name: value_of(file.text) for name, file in BROKEN.items()}
"""Name → values of the broken files that are YAML without fault; of the others a schema sees nothing."""


def test_the_published_file_is_the_schema() -> None:
    """What editors load is what the code says; to renew it, write the text of `schema()` with an indent of 2."""
    Draft202012Validator.check_schema(schema())
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == schema()


def test_accepts_every_shipped_file(shipped: dict[str, str], every_kind: str) -> None:
    """No shipped procedure is underlined in an editor."""
    assert shipped
    for text in [*shipped.values(), every_kind]:
        assert [error.message for error in VALIDATOR.iter_errors(value_of(text))] == []


@pytest.mark.parametrize("name", [name for name, value in VALUES.items() if value is not None])
def test_refuses_what_the_reader_refuses(name: str) -> None:
    """A broken file whose shape the reader refuses is underlined in an editor too."""
    if read_procedure(f"{name}.yaml", BROKEN[name].text).faults and name not in NOT_IN_ONE_VALUE:
        assert not VALIDATOR.is_valid(VALUES[name])


@pytest.mark.parametrize("to", [..., "words of its own", "", -1, 0.5, True, None, [], [["x"]], {"k": "v"}], ids=repr)
def test_agrees_with_the_reader_on_every_change(to: object, every_kind: str, lamp: dict[str, str]) -> None:
    """Each value of a file taken out or replaced: the schema refuses what the reader refuses, and refuses nothing
    that reader and checks together let pass."""
    value = value_of(every_kind)
    for path in places(value, whole={("steps",)}):
        if path == ("id",):
            continue  # the reader also holds the id against the file's name
        mutant = changed(value, path, to)
        text = json.dumps(mutant)  # JSON is YAML too, and keeps words apart from numbers
        refused = not VALIDATOR.is_valid(mutant)
        by_reader = bool(read_procedure("every-kind.yaml", text).faults)
        assert refused or not by_reader, f"only the reader refuses {to!r} at {path}"
        if refused and not by_reader:
            faults = check_texts({"every-kind.yaml": text}, command_phrases(), beside=lamp, by_ear=False)
            assert faults, f"only the schema refuses {to!r} at {path}"
