"""An engine that spins too lightly by hand is led to its cam and belt by hand, before any starter turns it."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Library
from assistant.language.banged import light_by_hand
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.session.led_jobs import SAFE, lead, lead_to_the_end
from tests.session.room import Room

TOLD = (
    "it spins too lightly by hand",
    "turning it by hand there's no compression at all",
    "no resistance when I turn it by hand",
    "it turns way too easily by hand",
    "by hand it's far too easy",
    "with a socket it spins round with no compression",
)


@pytest.mark.parametrize("words", TOLD)
def test_it_is_known_in_many_words(words: str) -> None:
    """After a bang it is asked for in these words."""
    assert light_by_hand(words)


@pytest.mark.parametrize(
    "words",
    [
        "it turns freely by hand",
        "it's not too easy to turn by hand",
        "the fan spins too easily by hand, wait the fan is stuck",
        "it spins too easily on the starter",
        "it binds by hand",
        "no compression tester here",
    ],
)
def test_what_turns_as_usual_or_by_the_starter_is_not_meant(words: str) -> None:
    """The starter has its own question."""
    assert not light_by_hand(words)


@pytest.mark.parametrize(
    ("cam", "belt", "found"),
    [("cam stands still", "", "timing-slipped"), ("no view in there", "belt is torn", "timing-slipped"),
     ("no view in there", "cover stays on", "no-crank-open")],
)  # fmt: skip
def test_it_is_led_to_the_cam_and_no_starter_turns(
    library: Library, reasoner: Reasoner, cam: str, belt: str, found: str
) -> None:
    """Nothing led on from it: the codes were read, and the starter turned."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    said = "it stopped with a bang and it spins too lightly by hand, no compression"
    lead_to_the_end(room, library, {"no-start/complaint": said, "engine-light/cam": cam, "engine-light/belt": belt})
    reached = [fact for fact in room.facts if fact.kind is FactKind.FINDING_REACHED]
    assert [fact.data["fault"] for fact in reached][:1] == [found]
    until = room.facts.index(reached[0])
    assert not any(fact.kind is FactKind.BURST_BEGUN for fact in room.facts[:until])


def test_it_is_gone_to_as_soon_as_it_is_told_later(library: Library, reasoner: Reasoner) -> None:
    """Told at the fuel gauge: before any starter."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead(room, library, SAFE)
    told = room.type("it spins too lightly by hand")
    assert "Do not turn the starter" in " ".join(text for line in told for text in line["said"])
    lead(room, library, "engine-light/cam")
    assert not any(fact.kind is FactKind.BURST_BEGUN for fact in room.facts)
