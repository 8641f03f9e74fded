"""What was named in own words is read back and reported by that name: "the boot lamp", not "it fell with one"."""

import pytest

from assistant.guide import Library
from assistant.record.build import build_record
from tests.session.room import Room

TO_THE_FUSE = ("done", "clamp meter", "yes", "eyes are covered", "done", "@wait 1200", "two fifty", "yes")


@pytest.mark.parametrize(
    ("fuse", "part"),
    [
        ("this fuse does", "boot lamp"),
        ("this fuse does", "it was the radio"),
        ("found a drop", "I pulled the glove box lamp and it dropped right off"),
    ],
)
def test_the_part_is_named(library: Library, fuse: str, part: str) -> None:
    """Read back before the yes, and in the record; the report said "it fell with one" alone."""
    room = Room(library, "parasitic-draw")
    room.type(*TO_THE_FUSE, fuse, "yes", "done")
    said = " ".join(text for line in room.type(part) for text in line["said"])
    assert f"I heard {part}: it fell with one." in said
    room.type("yes")
    record = build_record(room.journal.entries("grey-hatchback"), library)
    assert record.results[-1].label == f"it fell with one: {part}"


@pytest.mark.parametrize("said", ["yes", "yeah it fell", "found the part", "it did", "it dropped with one"])
def test_what_names_nothing_is_reported_as_ever(library: Library, said: str) -> None:
    """A yes is no name."""
    room = Room(library, "parasitic-draw")
    room.type(*TO_THE_FUSE, "this fuse does", "yes", "done", said, "yes")
    assert build_record(room.journal.entries("grey-hatchback"), library).results[-1].label == "it fell with one"
