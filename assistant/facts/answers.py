"""What facts say of answers: heard and waiting for their yes, logged, kept as words, struck."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from assistant.facts.kinds import FactKind
from assistant.facts.said import HowHeard, LimitUsed, Said, Weighed


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultHeard(Said):
    """A result, several facts of the car, or a fault code, whichever is there, with the words that are read back.

    `offered`: we asked whether it was said; `said`: what was said, where that is other words. `by`: ear or figures, if
    one proposed it.
    """

    KIND = FactKind.RESULT_HEARD
    result: str = ""
    facts: tuple[tuple[str, str], ...] = ()  # each with its value
    code: str = ""
    words: str
    offered: bool = False
    said: str | None = None
    by: str = ""
    hearing: HowHeard | None = None

    def plain(self) -> dict[str, Any]:
        """As any other; of an offer what was said comes first."""
        return _offer_first(Said.plain(self), offer=self.said is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingHeard(Said):
    """`words`: as it is read back. `said`: what was said, beside an offer what was said instead."""

    KIND = FactKind.READING_HEARD
    value: float
    unit: str
    words: str
    said: str | None = None
    offered: bool = False
    hearing: HowHeard | None = None

    def plain(self) -> dict[str, Any]:
        """As any other; of an offer what was said comes first."""
        return _offer_first(Said.plain(self), offer=self.offered)


def _offer_first(plain: dict[str, Any], *, offer: bool) -> dict[str, Any]:
    first = ("offered", "said", "hearing") if offer else ()
    return {name: plain[name] for name in first if name in plain} | plain


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultRejected(Said):
    """`words`: of what was rejected; empty where facts were kept, though none of the step's own."""

    KIND = FactKind.RESULT_REJECTED
    words: str
    facts_kept: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultLogged(Weighed):
    """`words`: None where nobody said any; `said`: what was said, where it was taken as these without a yes, or names
    what it is. `known`: the fact of the car, or the test done before, that answers the step; `outcome_of`: the
    procedure whose outcome it is. `echoed`: taken without a yes. `ear_result`: what it sounded like instead."""

    KIND = FactKind.RESULT_LOGGED
    result: str
    words: str | None = None
    outcome_of: str | None = None
    known: str | None = None
    echoed: bool = False
    ear_result: str = ""
    ear_words: str = ""
    said: str | None = None
    makes: tuple[str, ...] = ()
    vapour_cleared: bool = False
    hearing: HowHeard | None = None

    @property
    def unsaid(self) -> bool:
        """Whether it is nobody's answer."""
        return self.known is not None or self.outcome_of is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingLogged(Weighed):
    """`spoken`: as it is read back. `limits`: by the ends of its band, at_least and below.

    `judgement`: the band in words; `goes`: where it leads. `echoed`: taken without a yes.
    """

    KIND = FactKind.READING_LOGGED
    name: str
    quantity: str | None
    value: float
    unit: str
    words: str
    spoken: str
    echoed: bool = False
    band: str
    limits: Mapping[str, LimitUsed]
    judgement: str
    goes: str
    makes: tuple[str, ...] = ()
    vapour_cleared: bool = False
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeLogged(Weighed):
    """`spoken`: sign by sign."""

    KIND = FactKind.CODE_LOGGED
    code: str
    spoken: str
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TestTold(Weighed):
    """A test of the technician's own choice and its result, as the fault model calls them."""

    __test__ = False  # what its name begins with is no test of ours
    KIND = FactKind.TEST_TOLD
    test: str
    result: str
    words: str
    makes: tuple[str, ...] = ()
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WordsKept(Weighed):
    """What the step asked to be told. `cut`: only the beginning was kept. `proofed`: somebody read it; None in jobs
    older than that."""

    KIND = FactKind.WORDS_KEPT
    words: str
    cut: bool = False
    hearing: HowHeard | None = None
    proofed: bool | None = None
    makes: tuple[str, ...] = ()
    vapour_cleared: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteTaken(Said):
    """A note. `cut`, `proofed`: as of words that were asked for."""

    KIND = FactKind.NOTE_TAKEN
    words: str
    cut: bool = False
    hearing: HowHeard | None = None
    proofed: bool | None = None


class NoteAsked(Said):
    """Waits for its words."""

    __slots__ = ()
    KIND = FactKind.NOTE_ASKED


class NoteDropped(Said):
    """There is none after all."""

    __slots__ = ()
    KIND = FactKind.NOTE_DROPPED


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureTaken(Said):
    """`picture`: the name of the file beside the record."""

    KIND = FactKind.PICTURE_TAKEN
    picture: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StrikeAsked(Said):
    """`asked`: the id of the fact that is asked about."""

    KIND = FactKind.STRIKE_ASKED
    asked: str


class StrikeDeclined(Said):
    """It stays."""

    __slots__ = ()
    KIND = FactKind.STRIKE_DECLINED


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck(Weighed):
    """`struck`: the id of the fact that no longer counts. `item`: that is off the car again by this."""

    KIND = FactKind.STRUCK
    struck: str
    words: str
    item: str = ""
