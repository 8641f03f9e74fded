"""YAML text becomes located values, and nothing in a file can surprise its reader."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.fault import Faults
from assistant.procedure.model import Spot
from assistant.procedure.nodes import MAX_BYTES, MAX_NODES, Listing, Scalar, Table, plain, read_nodes


def read(text: str) -> tuple[Table | None, list[str]]:
    faults = Faults("a.yaml")
    root = read_nodes(text, faults)
    return root, [str(fault) for fault in faults.in_order()]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("no", "no"),
        ("yes", "yes"),
        ("off", "off"),
        ("12:30", "12:30"),
        ("1_000", "1_000"),
        ("007", "007"),
        (".5", ".5"),
        ("2024-01-02", "2024-01-02"),
        ("0x1F", "0x1F"),
        ("true", True),
        ("12", 12),
        ("-0.5", -0.5),
        ("1e3", 1000.0),
        ("'12'", "12"),
        ('"true"', "true"),
        ("~", None),
        ("", None),
    ],
)
def test_plain_words_keep_what_the_author_typed(text: str, value: object) -> None:
    """Only true, false and plain decimal numbers are more than text, so `no` and `12:30` stay words."""
    root, faults = read(f"key: {text}\n")
    assert not faults
    assert root is not None
    found = plain(root)
    assert found == {"key": value}
    assert type(found["key"]) is type(value)  # type: ignore[index]  # plain of a table is a dict


def test_every_value_knows_its_place() -> None:
    """Line and column count from 1, for keys, values and items."""
    root, _ = read("a: 1\nlist:\n  - x\n  - {k: 'v'}\n")
    assert root is not None
    listing = root.get("list")
    assert isinstance(listing, Listing)
    inner = listing.items[1]
    assert isinstance(inner, Table)
    assert root.entries[1].key.spot == Spot(line=2, column=1)
    assert [item.spot for item in listing.items] == [Spot(line=3, column=5), Spot(line=4, column=5)]
    value = inner.get("k")
    assert isinstance(value, Scalar)
    assert value.spot == Spot(line=4, column=9)


def test_a_bomb_of_aliases_is_refused_at_its_first_anchor() -> None:
    """Nested aliases that would unfold without end are never unfolded."""
    bomb = "a: &a [x, x]\n" + "".join(f"k{n}: &k{n} [*a, *a]\n" for n in range(50))
    root, faults = read(bomb)
    assert root is None
    assert faults == ["a.yaml:1:4: found the anchor '&a'; expected plain values; do delete it"]


@pytest.mark.parametrize("text", ["[" * 100_000, "{a: " * 100_000, "- " * 100_000, "? " * 50_000])
def test_depth_cannot_exhaust_the_reader(text: str) -> None:
    """Very deep nesting is a fault with a place, never a crash."""
    root, faults = read(text)
    assert root is None
    assert len(faults) == 1
    assert "nested more than 12 deep" in faults[0] or "maximum nesting depth" in faults[0]


def test_too_many_values_are_refused() -> None:
    """A list longer than any procedure needs is cut short with a fault."""
    _, faults = read("a: [" + "x," * (MAX_NODES + 1) + "]\n")
    assert "found more than 50000 values" in faults[0]


def test_too_much_text_is_refused() -> None:
    """Text beyond the limit is not parsed at all."""
    _, faults = read("# " + "x" * MAX_BYTES)
    assert faults == ["a.yaml:1:1: found more than 1024 KiB of text; expected a small file; do split it"]


def test_half_a_character_is_a_fault() -> None:
    """A lone surrogate, which no file can hold, is told with its place."""
    _, faults = read("a: x\ud800\n")
    assert faults[0].startswith("a.yaml:1:5: found the character U+D800")


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=60))
def test_any_text_is_read_or_told(text: str) -> None:
    """Whatever stands in a file, there is a table or a fault, never an exception."""
    root, faults = read(text)
    assert root is not None or faults
