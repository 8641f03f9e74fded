"""What a short form may leave out, and what not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.procedure.model import Kind, Place, Step
from assistant.procedure.short_form import lost, weighty

STEP = Step(id="look", kind=Kind.INSTRUCT, say="", hazards=frozenset(), minutes=1, place=Place.HOOD)


@pytest.mark.parametrize(
    ("say", "short", "gone"),
    [
        ("Wait for five minutes at the car.", "Wait at the car.", ("'five'", "'minute'")),
        ("Wait for five minutes.", "Wait five seconds.", ("'minute'", "'second', which the whole does not say")),
        ("Clip it on. Do not touch the gap.", "Clip it on.", ("a prohibition",)),
        ("Never lift it.", "Lift it.", ("a prohibition",)),
        ("Leave the yellow connectors alone.", "Mind the yellow connectors.", ("a prohibition",)),
        ("Key out. Take the fuse out.", "Fuse out.", ("what becomes of the key",)),
        ("Key on. Look at the lamp.", "Look at the lamp.", ("what becomes of the key",)),
        ("Look at the engine with the lamp. Is it not wet?", "Look it over. Wet?", ()),
        ("Clip the meter to the plus post.", "Meter on plus.", ()),
    ],
)
def test_numbers_units_prohibitions_and_the_key_stay(say: str, short: str, gone: tuple[str, ...]) -> None:
    """Whatever else is left out, these are not."""
    assert lost(replace(STEP, say=say), short) == gone


def test_what_one_person_does_counts_too() -> None:
    """A short form stands for both, so it keeps what either holds."""
    step = replace(STEP, say="Hang it up.", alone="Never on the seat.")
    assert lost(step, "Hang it up.") == ("a prohibition",)
    assert weighty("Never on the seat.")
    assert not weighty("One hand holds the lamp.")
