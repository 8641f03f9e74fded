"""One turn in the making: facts gathered with the state that they lead to, and the words that go with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from assistant.facts import Fact, HowHeard, Said, fact_of
from assistant.guide.fold import apply
from assistant.guide.places import Library, step_of
from assistant.guide.state import Frame, Position, State
from assistant.language.commands import control_of
from assistant.language.model import TYPED, Control, Heard
from assistant.language.plain import plain_words
from assistant.language.speech import Sentence, Utterance
from assistant.procedure.model import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """What one command led to. `refused`: why nothing was done, in the words that are spoken; state unchanged then."""

    state: State
    facts: tuple[Fact, ...] = ()
    reply: tuple[Utterance, ...] = ()
    refused: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Led:
    """The block to enter, a step of the root procedure, and why, in one sentence.

    `briefly`: the same to who knows the work and can ask why; empty for all of it. `test`: what it is entered for;
    `again`: as a second look. `fault`: whose repair is proposed there. `back`: where it goes on, put aside half done;
    `aside`: what would come next instead is put aside, to be come back to. `settles`: of which test it decides whether
    its result was told wrong.
    """

    step: str
    why: str
    briefly: str = ""
    test: str = ""
    again: bool = False
    fault: str = ""
    back: Position | None = None
    aside: bool = False
    settles: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """An answer that was told before: the result of the step, of which test, and what is known, in words."""

    result: str
    test: str
    words: str


class Choose(Protocol):
    """The plan, as the guide asks it. `facts`: those of this turn so far."""

    def __call__(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with in place of `target`, which the procedure would enter; None for `target` itself.
        Without a target: any block but the present one."""

    def rather(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with where what is asked here cannot be done: None where what pays most lies ahead, on the
        way from `target`."""

    def closed(self, state: State, facts: Sequence[Fact], block: str) -> str:
        """Why this block may not be entered by word now, in one sentence; empty where it may."""

    def ended(self, state: State, facts: Sequence[Fact], target: Frame) -> str:
        """Why the block that was named by word ends without a result where the procedure goes on to `target`, in one
        sentence; empty where it does not end so."""

    def follows(self, state: State) -> Led | None:
        """The procedure that looks for what the repair that held left open, offered at its end; None for none."""

    def known(self, state: State, facts: Sequence[Fact]) -> Known | None:
        """The answer of the present step, where it was told at another and need not be asked again."""


def to_ms(seconds: float) -> float:
    """The time to the millisecond, as the journal keeps it: a state must equal the fold of what was written."""
    return round(seconds, 3)


class Refused(Exception):
    """A command that may not be obeyed now, in the words that say why."""


class Making:
    """Gathers the facts and words of one turn. Each fact is folded in at once, so that `state` is always true."""

    def __init__(
        self,
        library: Library,
        state: State,
        at_s: float,
        heard: Heard | None = None,
        *,
        choose: Choose | None = None,
    ) -> None:
        self.library = library
        self.choose = choose
        self.state = state
        self.at_s = to_ms(max(at_s, state.at_s))
        self.facts: list[Fact] = []
        self.reply: list[Utterance] = []
        self.heard = heard

    @property
    def step(self) -> Step:
        """The present step."""
        return step_of(self.library, self.state)

    def note(self, said: Said, *, at: Frame | None = None) -> Fact:
        """Add a fact and fold it in. Raises MoveRefused when the table has no row for it."""
        fact = self.would(said, at=at)
        self.state = apply(self.library, self.state, fact)
        self.facts.append(fact)
        return fact

    def note_of_job(self, said: Said) -> None:
        """Keep what is of the whole job and of no step."""
        self.note(said, at=Frame(procedure=self.state.root, step=""))

    def would(self, said: Said, *, at: Frame | None = None, name: str = "") -> Fact:
        """The fact as it would be added now; it is not kept. `name`: so that its id is none of a kept one."""
        place = at or self.state.at
        number = self.state.number + 1
        return fact_of(
            said,
            id=f"{self.state.key}-{number}{name}",
            job=self.state.job,
            number=number,
            at_s=self.at_s,
            procedure=place.procedure or None,
            step=place.step or None,
        )

    @property
    def hearing(self) -> HowHeard | None:
        """How sure the hearing was, for facts that came from the technician's words; None for the world's own."""
        if self.heard is None:
            return None
        confidence = round(self.heard.confidence, 3)
        return HowHeard(engine=self.heard.engine, confidence=confidence, clip=self.heard.clip or "")

    def own_words(self, taken: str) -> str | None:
        """What was said, where it was taken as other words; None where it is these, or nobody said any."""
        said = (self.heard.words or "").strip() if self.heard is not None else ""
        return said if said and plain_words(said) != plain_words(taken) else None

    @property
    def words(self) -> str:
        """What was said, as it was heard; empty where nobody spoke."""
        return (self.heard.words or "") if self.heard is not None else ""

    @property
    def bare_yes(self) -> bool:
        """Whether nothing was said but a yes."""
        return control_of(self.words.lower().strip(" .!")) is Control.YES

    @property
    def dictated(self) -> bool:
        """Whether a recogniser wrote the words: then nobody has read them yet."""
        return self.heard is not None and self.heard.engine != TYPED

    @property
    def proofed(self) -> bool | None:
        """Whether somebody has read free words, as only typed ones are; None where nobody said any."""
        return None if self.heard is None else not self.dictated

    def say(self, text: str, kind: str = "info") -> None:
        """Add a sentence."""
        if text:
            self.reply.append(Sentence(text=text, kind=kind))

    def add(self, *utterances: Utterance) -> None:
        """Add sentences, tones or silences."""
        self.reply.extend(utterances)

    def done(self) -> Turn:
        """The finished turn."""
        return Turn(state=self.state, facts=tuple(self.facts), reply=tuple(self.reply))
