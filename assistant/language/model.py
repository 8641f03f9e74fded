"""The types of the language room: what was heard, what is expected now, what it means."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from assistant.language.commands import Control as Control
from assistant.procedure.model import Quantity

TYPED = "typed"
"""The engine of words that were typed: those stand as they were written, all others as somebody heard them."""

BY_KEY = "key"
"""In place of an engine: not heard, but pressed."""

BY_KNOCK = "knock"
"""In place of an engine: no word, but two knocks on the microphone."""

BY_MACHINE = "machine"
"""In place of an engine: nobody gave it; the program did for safety, as after the computer slept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """One text that was written freely. `odds`: of it among the texts, 0 to 1. `likely`: mean log-probability of its
    tokens."""

    text: str
    odds: float
    likely: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """One thing said. `words` is lower case and inside the grammar, or None: speech that was not understood.

    `confidence` is a probability, 0 to 1: that the words are what was said; of dictated words, the share of them that
    should be right. Every engine says it, none by default: 1.0 is for words that were typed. `unsure` asks for a
    question ("Did you say weak spark?"), not an action. `cut`: sound of it is missing, so nothing in the rest bears the
    words out. `amid`: it goes on with other talk, so it is probably not for us.
    `began_s`, `ended_s`: seconds in the stream. `took_ms`: work after the last sample.
    """

    words: str | None
    confidence: float
    unsure: bool = False
    cut: bool = False
    amid: bool = False
    began_s: float = 0.0
    ended_s: float = 0.0
    took_ms: float = 0.0
    engine: str = TYPED
    free_text: str | None = None  # what free decoding heard, for notes; never used as a result
    rivals: tuple[str, ...] = ()  # of unsure words: what else it could have been, likeliest first
    written: tuple[Written, ...] = ()  # the texts of which `free_text` is the first; never recorded
    sentences: tuple[tuple[str, float], ...] = ()  # of the grammar, with their odds, though refused; never recorded
    clip: str | None = None  # name of the kept sound clip

    @property
    def whole(self) -> bool:
        """Whether it may be gone by: no sound of it is missing, and it stands alone."""
        return not (self.cut or self.amid)


@dataclass(frozen=True, slots=True, kw_only=True)
class FactAsked:
    """A fact of the car that is still to be asked. `results`: value -> phrases; `answers`: as in `Expected`."""

    fact: str
    results: Mapping[str, tuple[str, ...]]
    answers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class FactTold:
    """A fact and its value, with the words by which it is read back."""

    fact: str
    value: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What may be said now.

    `results`: result id -> its phrases. `answers`: result id -> what else gives it, as `language.own_words` reads it.
    `examples`: result id -> what people have said for it. `elsewhere`: what they have said that gives none.
    `acknowledge`: phrases that pass the caution or gate now asked.
    `several`: facts of the car that may be told in one breath. `done`: further phrases that mean DONE. `work`: the
    instruction that waits for its end, in full words however briefly it is spoken.
    `quantity` and `unit`: a reading is asked. `codes`: fault codes are asked.
    `dictation`: anything said now is kept as words. `hazardous`: the stricter hearing threshold holds. `timed`: a timed
    action runs or is about to, or the starter may turn, so a stop must be as easy to get as can be. `read_back`: an
    answer is logged only after a yes. `waiting`: the result that was read back and waits for it. `passing`: what passes
    a caution or gate that is not asked now, and so answers nothing.
    `questions`: whether the questions of `language.questions` may be asked. `supposed`: what may follow "what if" and
    "i found", "test=result" -> clauses in plain words. `attention`: the words that must stand before each command but
    stop; empty where none need. `places`: what may follow "take me to", block -> its names in plain words. `fuel`: what
    the engine burns; empty where nobody has said. `tests`: each test of the fault model -> its name.
    `asked_before`: the questions that were asked last, whose answers may come late. `asked_next`: those that follow and
    take what was told before them. `turned`: what the starter did, which may be told before it was asked to be turned.
    `behind`: what the step asks once its cautions and gates are passed. `somebody_near`: whether somebody was told to
    be under or at the car.
    """

    controls: frozenset[Control]
    results: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    answers: Mapping[str, str] = field(default_factory=dict)
    examples: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    elsewhere: tuple[str, ...] = ()
    acknowledge: tuple[str, ...] = ()
    done: tuple[str, ...] = ()
    work: str = ""
    several: tuple[FactAsked, ...] = ()
    quantity: Quantity | None = None
    unit: str | None = None
    codes: bool = False
    dictation: bool = False
    hazardous: bool = False
    timed: bool = False
    read_back: bool = False
    waiting: str | None = None
    passing: frozenset[str] = frozenset()
    questions: bool = False
    supposed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    attention: str = ""
    places: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    fuel: str = ""
    asked_before: tuple[FactAsked, ...] = ()
    asked_next: tuple[FactAsked, ...] = ()
    turned: FactAsked | None = None
    behind: FactAsked | None = None
    somebody_near: bool = False
    tests: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveControl:
    """A command word."""

    control: Control


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveResult:
    """One of the results now asked. `guessed`: by likeness to what is known to be said for it, or as the latter of two
    that were said, so that it may be wrong."""

    result: str
    words: str
    guessed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveFacts:
    """Several facts of the car, told in one breath. `partly`: among words that were not understood."""

    facts: tuple[FactTold, ...]
    partly: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveReading:
    """A number in the unit that the step asks (converted from the spoken unit where needed).

    `words`: as said. `spoken`: how it is read back, with what it was converted from. `guessed`: as in `GiveResult`.
    """

    value: float
    unit: str
    words: str
    spoken: str = ""
    guessed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveCode:
    """A fault code such as P0335. `more`: others that were told with it."""

    code: str
    words: str
    more: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TellTest:
    """The result of a test of the technician's own choice, by the ids of the fault model. `words`: its clause.

    `makes`: what it leaves so of car and bay, in the words of `procedure.condition`; filled by who knows the model.
    `stops`: whether it stops everything.
    """

    test: str
    result: str
    words: str
    makes: tuple[str, ...] = ()
    stops: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeTo:
    """A block of the procedure, a step of it, that the technician wants to be at. `name`: what it was called."""

    block: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Acknowledge:
    """The phrase that passes the caution or gate now asked."""

    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dictate:
    """Free words to keep. `cut`: more was said than is kept of one saying. `note`: as a note, though none was asked."""

    words: str
    cut: bool = False
    note: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepPicture:
    """A photograph that was taken and is kept under this name."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimePassed:
    """The clock reached `at_s`; the guide lets every deadline up to then fall due."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstStarted:
    """The ear hears the starter turn since `ago_s` seconds."""

    ago_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstDropped:
    """What the ear took for the starter was something else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstCaught:
    """The ear hears the engine take over: the key is to be let go. Whether it ran is told with the whole burst."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstReleased:
    """The ear hears that the starter let go; what came of it follows once it can be told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstSound:
    """What a burst sounded like, for its picture: loudness each `step_s`, the first `before_s` before the burst.

    `loud_db`: below full scale. `speed_at_s`: seconds after the burst began; `pulses_hz`: compressions a second there.
    """

    before_s: float
    step_s: float
    loud_db: tuple[float, ...]
    speed_at_s: tuple[float, ...]
    pulses_hz: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstHeard:
    """The ear heard a whole cranking burst that ended `ago_s` seconds ago. None where the ear is not sure.

    `seconds`: how long the starter turned. `run_s`: how long the engine then ran, or has run so far. `uneven`: by what
    share the weakest compression of the cycle falls below the usual one. `confirmed`: nobody asked for it, and the
    technician said that the starter did turn. `kind`: what it sounded like, as the ear names it: crank, light,
    whine, chatter.
    """

    seconds: float
    rpm: float | None = None
    caught: bool | None = None
    run_s: float | None = None
    confidence: float = 1.0
    ago_s: float = 0.0
    uneven: float | None = None
    sound: BurstSound | None = None
    confirmed: bool = False
    kind: str = "crank"


@dataclass(frozen=True, slots=True, kw_only=True)
class StarterClicked:
    """The ear heard a knock, and no starter after it: it may have clicked only."""


StarterCommand = BurstStarted | BurstDropped | BurstCaught | BurstHeard
"""What the ear for the starter tells the guide."""

StarterEvent = StarterCommand | BurstReleased | StarterClicked
"""What the ear for the starter tells of; a release by itself is only shown, a click only said."""

Command = (
    GiveControl
    | GiveResult
    | GiveFacts
    | GiveReading
    | GiveCode
    | TellTest
    | TakeTo
    | Acknowledge
    | Dictate
    | KeepPicture
    | TimePassed
    | BurstStarted
    | BurstDropped
    | BurstCaught
    | BurstHeard
)


class UnclearReason(StrEnum):
    """Why nothing was understood."""

    NOT_HEARD = "not-heard"  # speech outside the grammar
    NOT_LEGAL = "not-legal"  # understood, but not now
    IMPOSSIBLE = "impossible"  # a number that the quantity cannot be; `offer` is the likely one
    WRONG_UNIT = "wrong-unit"
    THINKS = "thinks"  # who said it thinks or works, and has not answered
    WARNED = "warned"  # who said it is in danger near such work: `detail` says how to keep out of it
    UNSURE = "unsure"  # near threshold; `offer` is the phrase to ask about


@dataclass(frozen=True, slots=True, kw_only=True)
class Unclear:
    """A value, never an exception: what was said cannot be acted on, and why."""

    reason: UnclearReason
    words: str | None = None
    offer: str | None = None  # a legal phrase to ask a yes for
    detail: str = ""  # one sentence to speak
