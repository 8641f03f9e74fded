"""What is said in each mode, from the state alone: so "say again" needs no memory of its own.

Short plain sentences; each prompt ends in what is listened for.
"""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.bay import words_of
from assistant.english import answered, bursts, prompts, sayings
from assistant.english.lists import sentence
from assistant.english.reasoned import BEHIND_IT, BY_TEST
from assistant.guide.banged import before_the_starter
from assistant.guide.expect import CANNOT_RESULTS, answers
from assistant.guide.manner import say_of, still
from assistant.guide.places import (
    Library,
    caution_now,
    forbidden_now,
    gate_now,
    may_check,
    names_of,
    procedure_of,
    step_of,
)
from assistant.guide.proposal import cranked_unseen, other_view
from assistant.guide.reckoned import reckoned_words
from assistant.guide.state import A_YES, BY_BUILD, BY_COMPLAINT, Mode, Pending, State
from assistant.guide.striking import strike_now
from assistant.language.codes import END_PHRASES
from assistant.language.manner import Manner
from assistant.language.quantities import unit_named
from assistant.language.reading import as_shown
from assistant.language.several import names_more
from assistant.language.speak import say_seconds
from assistant.language.speech import Sentence
from assistant.procedure.condition import ITEMS, Condition
from assistant.procedure.forbidden import forbids, why_not
from assistant.procedure.model import Caution, Gate, Kind, Place, Step
from assistant.procedure.remedies import NEVER_LEFT, REMEDIES
from assistant.reasoning.standing import lead

SENTENCE_ENDS = re.compile(r"(?<=[.!?]) +")
"""Between two sentences."""

SPOKEN_CHOICES = 5
"""More choices than this are not read out: the ear does not keep them. Source: judgement."""

RELEASE = {"crank": bursts.RELEASE_KEY, "spray": bursts.RELEASE_NOZZLE, "puff": bursts.RELEASE_NOZZLE}
"""What to let go of, by timed action."""

PLACES = {
    Place.HOOD: sayings.AT_HOOD,
    Place.SEAT: sayings.AT_SEAT,
    Place.UNDER: sayings.UNDER_CAR,
    Place.AWAY: sayings.AWAY,
}


def short_caution_words(caution: Caution) -> tuple[Sentence, ...]:
    """A caution that is known by now: signal word, name, and its acknowledgement as a question."""
    return (
        Sentence(text=f"{sentence(caution.signal.value)} {sentence(caution.id.replace('-', ' '))}", kind="caution"),
        Sentence(text=still(caution.acknowledge[0]), kind="prompt"),
    )


def caution_words(caution: Caution) -> tuple[Sentence, ...]:
    """A caution in full: signal word, hazard, how to avoid it, consequence, and the phrase that acknowledges it.

    Source of the order: MIL-DTL-87268, 3.2.2.2: hazard, how to avoid it, what happens if ignored.
    """
    parts = (caution.signal.value, caution.hazard, caution.avoid, caution.consequence)
    return (
        Sentence(text=" ".join(sentence(part) for part in parts), kind="caution"),
        Sentence(text=prompts.phrase(caution.acknowledge[0]), kind="prompt"),
    )


def why_words(library: Library, state: State) -> tuple[Sentence, ...]:
    """Why the present step may not begin yet, by itself or for the sake of what must be undone after it."""
    forbidden, step = forbidden_now(library, state), step_of(library, state)
    if forbidden is None:
        return ()
    stand = forbids(step, state.passed | state.acknowledged) & state.bay.conditions
    named = forbidden if forbidden in stand else next((each for each in REMEDIES if each in stand), None)
    said = why_not(step, named) if named is not None else sayings.AIR_BY_TIME
    return (Sentence(text=said, kind="caution"),)


def short_gate_words(gate: Gate) -> tuple[Sentence, ...]:
    """A gate that was asked and passed before in this job: its phrase, as a question."""
    return (Sentence(text=f"{sentence(gate.acknowledge[0])[:-1]}?", kind="caution"),)


def gate_words(gate: Gate) -> tuple[Sentence, ...]:
    """The question of a gate and the phrase that passes it."""
    return (
        Sentence(text=sentence(gate.say), kind="caution"),
        Sentence(text=prompts.phrase(gate.acknowledge[0]), kind="prompt"),
    )


def instruction_words(step: Step, manner: Manner = Manner.FULL) -> tuple[Sentence, ...]:
    """What to do, and how one person does it; what is asked comes last, so that the answer follows its question."""
    say, alone = (sentence(part) for part in say_of(step, manner))
    before, question = _split_question(say) if alone else (say, "")
    parts = [sayings.TWO_PEOPLE] if step.needs_two else []
    parts += [before, alone, question]
    text = " ".join(part for part in parts if part)
    return (Sentence(text=text, kind="instruction"),) if text else ()


def _split_question(say: str) -> tuple[str, str]:
    """What is said before the questions at the end, and these."""
    sentences = SENTENCE_ENDS.split(say)
    asked = len(sentences)
    while asked and sentences[asked - 1].endswith("?"):
        asked -= 1
    return " ".join(sentences[:asked]), " ".join(sentences[asked:])


def current_words(library: Library, state: State) -> tuple[Sentence, ...]:
    """Everything that the present mode says when it begins, and again when asked: then in full, however we speak."""
    state = replace(state, manner=Manner.FULL)
    mode, step = state.mode, step_of(library, state)
    if mode is Mode.CAUTIONING:
        caution = caution_now(library, state)
        return (*why_words(library, state), *caution_words(caution)) if caution else ()
    if mode is Mode.GATING:
        gate = gate_now(library, state)
        return (*why_words(library, state), *gate_words(gate)) if gate else ()
    if mode in (Mode.ASKING, Mode.POISED) and not state.burst_done:
        before = before_the_starter(step, state)
        return (*before, *instruction_words(step), *reckoned_words(library, state), *hint(library, state))
    if mode is Mode.CLOSING and state.finding:
        return (*finding_words(step), *hint(library, state))
    return hint(library, state)


def choices(library: Library, state: State) -> tuple[Sentence, ...]:
    """All that is listened for now, however much that is: for somebody who was not understood twice."""
    step = step_of(library, state)
    many = state.mode is Mode.ASKING and len(step.results) > SPOKEN_CHOICES
    text = prompts.one_of(answers(library, state)) if many else _full_hint(library, state)
    return (Sentence(text=f"{text} {prompts.OPTIONS}".strip(), kind="prompt"),)


def hint(library: Library, state: State) -> tuple[Sentence, ...]:
    """One sentence that says what is listened for now, as far as that need be said in the present manner."""
    text = _known_hint(library, state) if state.manner is Manner.FULL else _brief_hint(library, state)
    return (Sentence(text=text, kind="prompt"),) if text else ()


def asked_again(library: Library, state: State) -> tuple[Sentence, ...]:
    """What is waited for, so that it can be chosen: of few answers each, else the question, which names them."""
    step = step_of(library, state)
    if state.mode is Mode.ASKING and len(step.results) > SPOKEN_CHOICES:
        _, question = _split_question(say_of(step, state.manner)[0])
        return (Sentence(text=question, kind="instruction"),) if question else full_hint(library, state)
    return full_hint(library, state)


def full_hint(library: Library, state: State) -> tuple[Sentence, ...]:
    """The same for who does not know: after a refusal, a silence, or what was not understood."""
    text = _full_hint(library, state)
    return (Sentence(text=text, kind="prompt"),) if text else ()


def _known_hint(library: Library, state: State) -> str:
    """In full, without what was said at each step before and tells nothing new: how to answer one like it."""
    step, pending = step_of(library, state), state.pending
    text = _full_hint(library, state)
    if state.mode is Mode.CONFIRMING and pending and not pending.by and A_YES in state.named:
        return text.replace(prompts.LOG_IT, "" if pending.offered else prompts.YES).strip()
    if state.mode is not Mode.ASKING or not state.named & names_of(step, state.at):
        return text
    return {prompts.DONE: prompts.DONE_SHORT, prompts.YOUR_ANSWER: "" if "?" in step.say else prompts.YOUR_ANSWER}.get(
        text, text
    )


def named(step: Step, result: str, words: str, said: str) -> str:
    """The phrase of a result, with what was named in own words where the phrase names nothing: "boot lamp: it fell"."""
    names = any(each.names for each in step.results if each.id == result)
    return f"{said}: {words}" if names and names_more(said, words) else words


def _named(step: Step, pending: Pending) -> str:
    return named(step, pending.name, pending.words, pending.said)


def _brief_hint(library: Library, state: State) -> str:
    mode, step, pending = state.mode, step_of(library, state), state.pending
    plainly = other_view(step, state, pending.name) is None and not cranked_unseen(state) if pending else False
    if mode is Mode.CONFIRMING and pending and not pending.by and plainly:
        both = bool(step.falls_from)  # which of two figures was meant is what the yes tells
        short = pending.words if both else as_shown(_named(step, pending))
        return prompts.meant(pending.words) if pending.offered else prompts.heard_shortly(short)
    if mode in (Mode.RESTING, Mode.WAITING):
        return ""
    if mode not in (Mode.ASKING, Mode.POISED):
        return _full_hint(library, state)
    if mode is Mode.ASKING and state.burst_done:
        return ""  # it was asked before the starter turned
    known = state.named & names_of(step, state.at)
    if mode is Mode.POISED:
        return _ready_hint(state, step) if Condition.HELPER in state.bay.conditions else prompts.READY
    asked = "?" in say_of(step, state.manner)[0]
    names_unit = step.unit is not None and unit_named(step.unit).many in step.say
    told = step.kind is Kind.TELL or END_PHRASES[0] in step.say or names_unit
    return "" if known or asked or told or state.manner is Manner.TERSE else _full_hint(library, state)


def _full_hint(library: Library, state: State) -> str:
    mode, step = state.mode, step_of(library, state)
    if mode in (Mode.CAUTIONING, Mode.GATING):
        return prompts.phrase(answers(library, state)[0])
    if mode is Mode.POISED:
        return _ready_hint(state, step)
    if mode is Mode.CONFIRMING and state.pending:
        return _confirm_hint(step, state, state.pending)
    if mode is Mode.ASKING:
        return _answer_hint(library, state, step)
    if mode is Mode.STRIKING:
        return _strike_hint(state)
    if mode is Mode.TIMING:
        return prompts.COUNTING
    if mode is Mode.CLOSING:
        if state.open_items:
            stays = ITEMS.get(state.open_items[0]) not in NEVER_LEFT
            return prompts.put_right(state.open_items[0], may_stay=stays)
        return _closing_hint(library, state)
    return {
        Mode.RESTING: prompts.RESTING,
        Mode.WAITING: prompts.WAITING,
        Mode.HELD: prompts.HELD,
        Mode.EXCUSING: prompts.why_not([each[0] for each in CANNOT_RESULTS.values()]),
        Mode.PUTTING_BACK: prompts.put_right_then(state.open_items[0]) if state.open_items else "",
        Mode.EXPLAINING: prompts.EXPLAINING,
        Mode.NOTING: prompts.NOTING,
        Mode.ENDING: prompts.ENDING,
        Mode.ENDED: prompts.ENDED,
    }.get(mode, "")


def _ready_hint(state: State, step: Step) -> str:
    if step.kind is Kind.PACE:
        return prompts.READY_TO_PACE
    return prompts.READY_WITH_HELPER if Condition.HELPER in state.bay.conditions else prompts.READY_TO_CRANK


def _closing_hint(library: Library, state: State) -> str:
    if may_check(library, state) and state.manner is not Manner.FULL:
        return prompts.REPAIRED_OR_CLOSE
    if may_check(library, state):
        return prompts.REPAIRED_WHEN_MENDED
    return prompts.CLOSE


def _strike_hint(state: State) -> str:
    strike = strike_now(state)
    if strike is None:
        return ""
    return prompts.strike(strike.words, moves=strike.visits > 0)


def _confirm_hint(step: Step, state: State, pending: Pending) -> str:
    if pending.by == "ear":  # nobody said it yet
        return prompts.sounded_to_the_ear(pending.words)
    if pending.by == BY_BUILD:
        return prompts.built_so(pending.words, brief=state.manner is not Manner.FULL)
    if pending.by == BY_COMPLAINT:
        return prompts.told_before(pending.words, brief=state.manner is not Manner.FULL)
    if cranked_unseen(state):
        return prompts.before_the_tone(pending.words)
    other = other_view(step, state, pending.name)
    asked = prompts.meant(pending.words) if pending.offered else prompts.heard(_named(step, pending))
    if other is None:
        return f"{asked} {prompts.LOG_IT}"
    sounded = prompts.sounded_otherwise(other.phrases[0])
    if pending.offered:
        return f"{sounded} {asked} {prompts.LOG_IT}"
    return f"{sounded} {prompts.keep_answer(pending.words)}"


def _answer_hint(library: Library, state: State, step: Step) -> str:
    if step.kind is Kind.INSTRUCT:
        return prompts.done_or(step.done[0]) if step.done else prompts.DONE
    if step.kind is Kind.READING and step.unit:
        return prompts.reading_in(unit_named(step.unit).many)
    if step.kind is Kind.TELL:
        return prompts.SPEAK
    if step.kind is Kind.CODES:
        return prompts.code_or(END_PHRASES[0])
    choices = [result.phrases[0] for result in step.results]
    if len(choices) > SPOKEN_CHOICES:
        return prompts.YOUR_ANSWER
    return prompts.one_of(choices)


def where_words(library: Library, state: State, at_s: float) -> tuple[Sentence, ...]:
    """Where the job stands: procedure, step, place, what is still off the car, and what is listened for."""
    step = step_of(library, state)
    place = PLACES[step.place]
    text = sayings.step_at(procedure_of(library, state).title, step.id.replace("-", " "), place)
    if state.mode is Mode.HELD:
        text += f" {sayings.ON_HOLD}"
    so = words_of(state.bay, at_s, of_use=True)
    bay = sayings.as_far_as_known(so)
    said = " ".join(each for each in (text, open_words(state), bay) if each)
    return (Sentence(text=said), *left_words(state, at_s), *hint(library, state))


def open_words(state: State) -> str:
    """What is still off the car or added to it; empty when nothing is."""
    return sayings.to_put_right(state.open_items)


def left_words(state: State, at_s: float) -> tuple[Sentence, ...]:
    """How long a rest or a wait still takes."""
    until_s = {Mode.RESTING: state.rest_until_s, Mode.WAITING: state.wait_until_s}.get(state.mode)
    if until_s is None:
        return ()
    return (Sentence(text=sayings.left(say_seconds(max(0.0, until_s - at_s)))),)


def spoken_finding(step: Step, manner: Manner) -> tuple[Sentence, ...]:
    """What is said of the finding by itself; all of it stands in the record, and "say again" tells it."""
    said = finding_words(step)
    if manner is Manner.FULL:
        return said
    left_out: tuple[str, ...] = (sayings.FOR_CUSTOMER, sayings.MAKER_FIRST)
    left_out += (sayings.NOT_TESTED,) if manner is Manner.TERSE else ()
    return tuple(each for each in said if not each.text.startswith(left_out))


def finding_words(step: Step, standing: str = "") -> tuple[Sentence, ...]:
    """The finding in full: what tests showed, likely, untested, what to do next, and the words for the customer.

    `standing`: how sure it is by the odds, where any are reckoned; else it claims no more than its tests.
    """
    found, doubt = step.finding, lead(standing)
    said = [Sentence(text=sayings.finding(step.say, doubt).strip(), kind="instruction")]
    if found is None:
        return tuple(said)
    for name, lines in ((BY_TEST, found.proved), (BEHIND_IT, found.likely), (sayings.NOT_TESTED, found.untested)):
        if lines:
            said.append(Sentence(text=sayings.under(name, lines)))
    if found.advice:
        advice = found.advice.removesuffix(
            answered.RECHECK
        ).strip()  # what is listened for says how, where there is one
        said.append(Sentence(text=sayings.advice(advice), kind="instruction"))
    if found.customer:
        said.append(Sentence(text=sayings.for_customer(found.customer, doubt)))
    said.append(Sentence(text=sayings.MAKER_FIRST))
    return tuple(said)
