"""What a complaint tells in passing is taken where it is plain, and nowhere else. The sentences are our own."""

from __future__ import annotations

import pytest

from assistant.language.complaints import told_in

TOLD = {
    "It will not turn over, it just clicks.": ("still",),
    "Turn the key and nothing": ("still",),
    "doesn't crank": ("still",),
    "it cranks slowly in the morning": ("slow",),
    "It won't turn over fast enough": ("slow",),
    "it turns over but it never starts": ("turns",),
    "Cranks fine, won't start": ("turns",),
    "never starts on wet mornings": ("wet",),
    "it won't start after it rained": ("wet",),
    "it dies when it is hot": ("hot",),
    "does not crank when hot": ("still", "hot"),
    "when it's hot it won't start": ("hot",),
    "It stalls once warmed up": ("hot",),
    "won't start only when hot": ("hot",),
    "sometimes it dies when hot": ("hot",),
    "it cranks fine but sometimes won't start": ("turns",),
    "she put diesel in by mistake and it died": ("wrong-fuel",),
    "conked out while he was driving": ("sudden",),
    "push button start, nothing happens when i press it": ("still",),
    "nothing at all happens when she turns the key": ("still",),
    "nothing happens when i wiggle the wires": (),
    "it cut out on the motorway": ("sudden",),
    "Died going down the road, now it won't start": ("sudden",),
    "quit on her at the lights": ("sudden",),
    "she was driving home and it just conked out": ("sudden",),
    "It stalled in traffic and will not restart": ("sudden",),
    "the engine shut off while driving": ("sudden",),
    "it spluttered and died on the motorway": ("sputtered",),
    "coughed a few times and cut out going down the road": ("sputtered",),
    "petrol was dripping under the car": ("leaks",),
}
NOTHING = (
    "it will not start at all",
    "nobody put the wrong fuel in, no fuel leak",
    "the key won't turn",  # in its lock
    "won't turn off the radio",
    "starts fine when it is warm",
    "runs well when hot",
    "starts when hot but won't when cold",
    "won't start cold but starts when hot",
    "only runs when warm",
    "it never stalls when hot",
    "it doesn't stall when hot",
    "sometimes it doesn't turn over",
    "now and then it just clicks",
    "it cranks slowly at times",
    "the car sat in the rain all week",  # where it was, not when it fails
    "it was left out in the rain",
    "sometimes it cuts out on the motorway",
    "it starts and runs",
    "it would not start on the way home",
    "it never cut out on the motorway",
    "it died in the drive overnight",
    "it cranks fine but now and then it only clicks",  # which?
)


@pytest.mark.parametrize(("words", "told"), TOLD.items(), ids=list(TOLD))
def test_a_complaint_tells_whether_it_turns_and_when_it_fails(words: str, told: tuple[str, ...]) -> None:
    """In whatever words it stands."""
    assert told_in(words) == told


@pytest.mark.parametrize("words", NOTHING)
def test_what_is_not_plain_tells_nothing(words: str) -> None:
    """What means something else, or contradicts itself, moves no odds."""
    assert told_in(words) == ()
