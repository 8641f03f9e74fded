"""The rehearsal's own judgement: free words count as much as answers."""

from __future__ import annotations

from assistant.facts import Fact, FactKind
from assistant.rehearsal.compare import dictations, differences
from assistant.rehearsal.technician import Meant

SAID = [Meant(procedure="no-start", step="complaint", answer="it cranks all day but it will not start")]
FOUND = Fact(id="k-9", job="j", number=9, at_s=9.0, kind=FactKind.FINDING_REACHED, data={"fault": "empty-tank"})


def kept(words: str, number: int = 1, **more: object) -> Fact:
    """A complaint as a recogniser wrote it."""
    data = {"words": words, "hearing": {"engine": "embedded", "confidence": 0.5}, **more}
    return Fact(
        id=f"k-{number}", job="j", number=number, at_s=1.0, kind=FactKind.WORDS_KEPT, procedure="no-start",
        step="complaint", data=data,
    )  # fmt: skip


def told(*facts: Fact) -> tuple[str, ...]:
    """What the comparison tells of these facts, all of them followed by the right finding."""
    return differences([*facts, FOUND], [], "empty-tank", SAID)


def test_words_that_differ_must_be_marked() -> None:
    """A nonsense complaint that passes for what was said is a difference; marked as not proofed it is none."""
    assert told(kept("This crank saw the puppet will not start.")) == (
        "said 'it cranks all day but it will not start', kept 'This crank saw the puppet will not start.' "
        "without a mark",
    )
    assert told(kept("This crank saw the puppet will not start.", proofed=False)) == ()
    assert told(kept("It cranks all day, but it will not start.")) == ()


def test_words_that_are_missing_or_too_many_are_told() -> None:
    """Each text said is kept once; struck ones count for nothing."""
    assert told() == ("said 'it cranks all day but it will not start', kept nothing",)
    right, other = kept(SAID[0].answer), kept("something else", 2)
    assert told(right, other) == ("said nothing, kept 'something else'",)
    struck = Fact(id="k-3", job="j", number=3, at_s=2.0, kind=FactKind.STRUCK, data={"struck": "k-2"})
    assert told(right, other, struck) == ()


def test_wrong_words_are_counted() -> None:
    """By the fewest words to change, add or take out; case and marks do not count."""
    (right,) = dictations([kept("It cranks all day, but it will not start.", proofed=False)], SAID)
    assert (right.wrong, right.proofed) == (0, False)
    (wrong,) = dictations([kept("It cranked all day but will not ever start", proofed=False)], SAID)
    assert wrong.wrong == 3
