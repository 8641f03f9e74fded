"""What may be said now, for the recogniser and for the technician."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.english import answered
from assistant.guide.echo import reads_back
from assistant.guide.occasions import legal_now, offered_now
from assistant.guide.places import (
    Library,
    caution_now,
    ends_early,
    gate_now,
    limits_of,
    procedure_of,
    step_of,
    targets_of,
)
from assistant.guide.proposal import started_by
from assistant.guide.reckoned import reckoned_result
from assistant.guide.state import Mode, State
from assistant.language.codes import END_PHRASES
from assistant.language.commands import Control, phrase_of
from assistant.language.guess import UNTOLD
from assistant.language.model import Expected, FactAsked
from assistant.language.own_words import meant_by
from assistant.language.quantities import decimals_of, possible_range
from assistant.language.speak import say_amount
from assistant.procedure.affirmed import passes
from assistant.procedure.answers import tells_nothing
from assistant.procedure.asked import is_open
from assistant.procedure.condition import ITEMS, Condition
from assistant.procedure.model import Hazard, Kind, Place, Procedure, Result, Step
from assistant.procedure.remedies import NEVER_LEFT, REMEDIES

ITEM_RESULTS = {
    "refitted": answered.REFITTED,
    "left-off": answered.LEFT_OFF,
}
"""Answers while open items are settled, one by one: what was taken off is back, what was added is out again."""

CANNOT_RESULTS = {
    "no-tool": answered.NO_TOOL,
    "no-reach": answered.NO_REACH,
    "too-loud": answered.TOO_LOUD,
    "not-on-car": answered.NOT_ON_CAR,
}
"""Why something cannot be done."""

EXAMPLE_CODE = answered.CODE
EXAMPLE_WORDS = {
    Mode.ASKING: answered.COMPLAINT,
    Mode.NOTING: answered.NOTE,
    Mode.EXPLAINING: answered.REASON,
}
"""Words of our own invention that may be sent where anything is kept."""


def item_results(state: State) -> dict[str, tuple[str, ...]]:
    """What may be said of the first open item: none where nothing is open, and never that a fuel line stays open."""
    if not state.open_items:
        return {}
    stays = ITEMS.get(state.open_items[0]) not in NEVER_LEFT
    return {result: phrases for result, phrases in ITEM_RESULTS.items() if stays or result == "refitted"}


YES_IS_FREE_IN = frozenset(
    {Mode.ASKING, Mode.CAUTIONING, Mode.GATING, Mode.POISED, Mode.RESTING, Mode.WAITING, Mode.CLOSING}
)
"""Modes in which a yes may answer a question that is not the step's."""


def yes_is_free(library: Library, state: State) -> bool:
    """Whether a yes or no means nothing in this mode, so that something else may be asked. On hold nothing is.

    While the ear listens for a starter that does not turn yet, it may be asked whether it did.
    """
    timed = state.timed
    listens = state.mode is Mode.TIMING and timed is not None and timed.by == "ear" and not timed.begun
    free = (listens or state.mode in YES_IS_FREE_IN) and not expected(library, state).dictation
    return free and reckoned_result(library, state) is None


def expected(library: Library, state: State) -> Expected:
    """What is understood now. In every live mode the commands of `language.commands.ALWAYS` are."""
    now = _expected(library, state)
    return replace(now, somebody_near=True) if Condition.SOMEBODY_NEAR in state.bay.conditions else now


def _expected(library: Library, state: State) -> Expected:
    mode, controls = state.mode, legal_now(library, state)
    if mode in (Mode.NEW, Mode.ENDED):
        return Expected(controls=controls)
    if mode in (Mode.NOTING, Mode.EXPLAINING):
        return Expected(controls=controls, dictation=True)
    if mode is Mode.EXCUSING:
        return Expected(controls=controls, results=CANNOT_RESULTS)
    if mode is Mode.PUTTING_BACK:
        return Expected(controls=controls, results={"refitted": answered.REFITTED})
    if mode is Mode.CLOSING:
        return Expected(controls=controls, results=item_results(state), passing=_put_right(state))
    step = step_of(library, state)
    hazardous = bool(step.all_hazards)
    if mode is Mode.CAUTIONING:
        caution = caution_now(library, state)
        return _passed_by(passes(caution) if caution else (), step, controls)
    if mode is Mode.GATING:
        gate = gate_now(library, state)
        return _passed_by(passes(gate) if gate else (), step, controls)
    if mode is Mode.WAITING and (early := ends_early(library, state)) is not None:
        breaking = {each.id for each in early.results if each.goes != step.id}
        told = _answers(early, mode)
        results = {each: said for each, said in told.results.items() if each in breaking}
        answers = {each: said for each, said in told.answers.items() if each in breaking}
        return Expected(controls=controls, results=results, answers=answers, hazardous=hazardous, read_back=True)
    if mode is Mode.POISED:
        return Expected(controls=controls, hazardous=hazardous, timed=True, turned=_turned_already(step))
    if mode in (Mode.ASKING, Mode.CONFIRMING, Mode.TIMING):
        now = replace(_answers(step, mode), hazardous=hazardous, read_back=reads_back(library, state, step))
        now = replace(now, timed=mode is Mode.TIMING or _turns(state, step))
        if mode is Mode.ASKING and reckoned_result(library, state) is None:  # no yes is waited for: it may be an answer
            controls -= {each for each in (Control.YES, Control.NO) if _is_answer(each, step, now)}
        waiting = state.pending.name if mode is Mode.CONFIRMING and state.pending is not None else None
        now = replace(now, waiting=waiting, passing=procedure_of(library, state).passing)
        opens = mode is Mode.ASKING and _opens(step)
        now = replace(now, asked_before=() if mode is Mode.TIMING else _asked_before(library, state))
        if mode is Mode.ASKING:
            now = replace(now, asked_next=_asked_next(library, state, step))
        return replace(now, controls=controls, several=_facts_asked(library, state) if opens else ())
    return Expected(controls=controls)


def _passed_by(phrases: tuple[str, ...], step: Step, controls: frozenset[Control]) -> Expected:
    """A caution or a gate, passed by these phrases alone; what the step asks behind it may be told, and is kept."""
    told = [each for each in step.results if UNTOLD not in (each.answers or "")]
    behind = _told_of(step, told) if step.kind in (Kind.ASK, Kind.CRANK) else None
    return Expected(controls=controls, acknowledge=phrases, hazardous=bool(step.all_hazards), behind=behind)


def _is_answer(control: Control, step: Step, now: Expected) -> bool:
    """Whether a bare yes or no answers what the step asks, and leaves nothing open."""

    def means(words: str) -> str | None:
        return meant_by(words, now.results, now.answers)

    return means(control.value) is not None and not is_open(control.value, (text for _, text in step.texts()), means)


def _put_right(state: State) -> frozenset[str]:
    """What tells at the finding that a danger known here is put right, which the check of the repair asks for."""
    held = (REMEDIES[each] for each in state.bay.conditions if each in REMEDIES)
    gates = (remedy.gate for remedy in held if remedy.minutes is None)  # a repair of its own
    return frozenset(said for gate in gates if gate is not None for said in gate.acknowledge)


def _opens(step: Step) -> bool:
    """Whether the facts of the car may be told here: a question for one of them, or talk away from the car, since many
    begin with what they have before them."""
    return step.vehicle is not None or (step.place is Place.AWAY and step.kind in (Kind.INSTRUCT, Kind.ASK))


def _facts_asked(library: Library, state: State) -> tuple[FactAsked, ...]:
    """The facts of the car that nobody has told yet, of those that this procedure asks, or one that it calls to ask
    nothing else; as they may be told all at once."""
    here = procedure_of(library, state)
    called = (library[step.calls] for step in here.steps if step.calls is not None)
    asking: dict[str, Step] = {}
    for procedure in (here, *filter(_asks_facts_alone, called)):
        for step in procedure.steps:
            if step.vehicle and step.kind is Kind.ASK and step.vehicle not in state.vehicle:
                asking.setdefault(step.vehicle, step)
    return tuple(
        FactAsked(
            fact=fact,
            results={result.id: result.phrases for result in step.results},
            answers={result.id: result.answers for result in step.results if result.answers},
        )
        for fact, step in asking.items()
    )


MOST_ASKED_BEFORE = 2
"""Questions whose answers may still come late. Source: judgement."""


def _asked_before(library: Library, state: State) -> tuple[FactAsked, ...]:
    """The latest questions that were asked before this one, but what tells of nothing seen: that may be of any."""
    steps = (library[visit.position.at.procedure].step(visit.position.at.step) for visit in reversed(state.history))
    asked = [step for step in steps if step is not None and step.kind is Kind.ASK and step.results][:MOST_ASKED_BEFORE]
    return tuple(map(_as_asked, asked))


def _asked_next(library: Library, state: State, step: Step) -> tuple[FactAsked, ...]:
    """The questions behind this one that take what was told of them before."""
    targets = targets_of(step)
    behind = (each for each in library[state.at.procedure].steps if each.id in targets)
    return tuple(_as_asked(each) for each in behind if each.told_before and each.kind is Kind.ASK)


def _as_asked(step: Step) -> FactAsked:
    return _told_of(step, [each for each in step.results if not tells_nothing(each.answers)])


def _told_of(step: Step, told: Sequence[Result]) -> FactAsked:
    return FactAsked(
        fact=step.id,
        results={each.id: (*each.phrases, *each.examples) for each in told},
        answers={each.id: each.answers for each in told if each.answers},
    )


def _asks_facts_alone(procedure: Procedure) -> bool:
    return all(step.vehicle for step in procedure.steps if step.kind is Kind.ASK)


def _turns(state: State, step: Step) -> bool:
    """Whether the starter may turn although nothing counts: the step said to turn it, as while a harness is wiggled."""
    return state.instructed and Hazard.CRANKING in step.hazards and not (step.kind is Kind.CRANK and state.burst_done)


def _turned_already(step: Step) -> FactAsked | None:
    """What whoever has turned the starter already tells in place of "ready": what it did. That the engine runs is told
    as such, whatever is asked; what was not seen is no reason to have turned it."""
    if step.kind is not Kind.CRANK:
        return None
    asked, runs = _as_asked(step), started_by(step)
    did = {result: said for result, said in asked.results.items() if runs is None or result != runs.id}
    return replace(asked, results=did, answers={each: said for each, said in asked.answers.items() if each in did})


def _answers(step: Step, mode: Mode) -> Expected:
    """What answers this step, commands aside."""
    spoken = step.results if step.kind is not Kind.CALL else ()
    results = {result.id: result.phrases for result in spoken}
    answers = {result.id: result.answers for result in spoken if result.answers}
    asking = mode is Mode.ASKING
    reading = step.kind is Kind.READING
    return Expected(
        controls=frozenset(),
        results=results,
        answers=answers,
        examples={result.id: result.examples for result in spoken if result.examples},
        elsewhere=step.elsewhere if spoken else (),
        done=step.done if asking else (),
        work=step.say if asking and step.kind is Kind.INSTRUCT else "",
        quantity=step.quantity if reading else None,
        unit=step.unit if reading else None,
        codes=step.kind is Kind.CODES,
        dictation=asking and step.kind is Kind.TELL,
    )


def can_say(library: Library, state: State) -> tuple[str, ...]:
    """Phrases that do something now, answers first, each to be said as it stands; one for each result and band."""
    if state.mode in (Mode.NEW, Mode.ENDED):
        return ()
    return tuple(dict.fromkeys((*answers(library, state), *map(phrase_of, offered_now(library, state)))))


def answers(library: Library, state: State) -> tuple[str, ...]:
    """The answers that move the job on from here, one phrase for each."""
    now = expected(library, state)
    mode = state.mode
    if mode is Mode.HELD:
        return (phrase_of(Control.RESUME),)
    if mode in (Mode.CONFIRMING, Mode.ENDING, Mode.STRIKING):
        return (phrase_of(Control.YES), phrase_of(Control.NO))
    if now.dictation:
        return (EXAMPLE_WORDS[mode],)
    said = list(now.acknowledge[:1])
    said += [phrases[0] for phrases in now.results.values()]
    said += reading_examples(library, state) if mode is Mode.ASKING and now.quantity else []
    if mode is Mode.ASKING and now.codes:
        return (EXAMPLE_CODE, END_PHRASES[0])
    said += [phrase_of(control) for control in (Control.DONE, Control.READY) if control in now.controls]
    return tuple(said)


def reading_examples(library: Library, state: State) -> list[str]:
    """A reading inside each band that a meter could show, in the unit of the step: "twelve point four volts"."""
    step = step_of(library, state)
    if step.quantity is None or step.unit is None:
        return []
    least, most = possible_range(step.quantity, step.unit)
    limits = limits_of(library, state)
    decimals = decimals_of(step.quantity, step.unit)
    examples = []
    for band in step.bands:
        low = max(least, limits[band.at_least]) if band.at_least else least
        high = min(most, limits[band.below]) if band.below else most
        value = _inside(low, high, decimals, opens_down=not band.at_least, opens_up=not band.below)
        if value is not None:
            examples.append(say_amount(value, step.unit))
    return examples


def _inside(low: float, high: float, decimals: int, *, opens_down: bool, opens_up: bool) -> float | None:
    """A value with few digits in low <= value < high, near the limit that bounds an open band."""
    if low >= high:
        return None
    wish = low if opens_up else (low + high) / 2
    if opens_down and not opens_up:
        wish = high - max(abs(high) * 0.1, 10**-decimals)
    for digits in range(decimals + 4):
        step = 10.0**-digits
        value = round(wish / step) * step
        for candidate in (value, value + step, value - step):
            if low <= round(candidate, digits) < high:
                return round(candidate, digits)
    return None
