"""What is said in each mode, from the state alone: so "say again" needs no memory of its own.

Short plain sentences; each prompt ends in what is listened for.
"""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.bay import words_of
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
from assistant.guide.proposal import other_view
from assistant.guide.reckoned import reckoned_words
from assistant.guide.state import A_YES, Mode, Pending, State
from assistant.guide.striking import strike_now
from assistant.language.codes import END_PHRASES
from assistant.language.manner import Manner
from assistant.language.quantities import unit_named
from assistant.language.reading import as_shown
from assistant.language.speak import say_list, say_seconds, sentence
from assistant.language.speech import Sentence
from assistant.procedure.condition import ITEMS
from assistant.procedure.forbidden import NEVER_LEFT, REMEDIES, forbids, why_not
from assistant.procedure.model import Caution, Gate, Kind, Place, Step
from assistant.reasoning.standing import BEHIND_IT, BY_TEST, lead

SENTENCE_ENDS = re.compile(r"(?<=[.!?]) +")
"""Between two sentences."""

SPOKEN_CHOICES = 5
"""More choices than this are not read out: the ear does not keep them. Source: judgement."""

LOG_IT, DONE = "Say yes to log it.", "Say done when it is done."
YOUR_ANSWER = "Say your answer, or ask what can I say."

RECHECK = "Run the recheck."

NO_AID = "There is no page or phone here that could do that."

RELEASE = {"crank": "Release the key.", "spray": "Release the nozzle.", "puff": "Release the nozzle."}
"""What to let go of, by timed action."""

PLACES = {
    Place.HOOD: "at the hood",
    Place.SEAT: "at the seat",
    Place.UNDER: "under the car",
    Place.AWAY: "away from the car",
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
        Sentence(text=f"Say: {caution.acknowledge[0]}.", kind="prompt"),
    )


def why_words(library: Library, state: State) -> tuple[Sentence, ...]:
    """Why the present step may not begin yet, by itself or for the sake of what must be undone after it."""
    forbidden, step = forbidden_now(library, state), step_of(library, state)
    if forbidden is None:
        return ()
    stand = forbids(step, state.passed | state.acknowledged) & state.bay.conditions
    said = why_not(step, forbidden if forbidden in stand else next(each for each in REMEDIES if each in stand))
    return (Sentence(text=said, kind="caution"),)


def short_gate_words(gate: Gate) -> tuple[Sentence, ...]:
    """A gate that was asked and passed before in this job: its phrase, as a question."""
    return (Sentence(text=f"{sentence(gate.acknowledge[0])[:-1]}?", kind="caution"),)


def gate_words(gate: Gate) -> tuple[Sentence, ...]:
    """The question of a gate and the phrase that passes it."""
    return (
        Sentence(text=sentence(gate.say), kind="caution"),
        Sentence(text=f"Say: {gate.acknowledge[0]}.", kind="prompt"),
    )


def instruction_words(step: Step, manner: Manner = Manner.FULL) -> tuple[Sentence, ...]:
    """What to do, and how one person does it; what is asked comes last, so that the answer follows its question."""
    say, alone = (sentence(part) for part in say_of(step, manner))
    before, question = _split_question(say) if alone else (say, "")
    parts = ["This needs two people."] if step.needs_two else []
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
        return (*instruction_words(step), *reckoned_words(library, state), *hint(library, state))
    if mode is Mode.CLOSING and state.finding:
        return (*finding_words(step), *hint(library, state))
    return hint(library, state)


def choices(library: Library, state: State) -> tuple[Sentence, ...]:
    """All that is listened for now, however much that is: for somebody who was not understood twice."""
    step = step_of(library, state)
    many = state.mode is Mode.ASKING and len(step.results) > SPOKEN_CHOICES
    text = f"Say {say_list(answers(library, state), last='or')}." if many else _full_hint(library, state)
    return (Sentence(text=f"{text} Or say what can I say.".strip(), kind="prompt"),)


def hint(library: Library, state: State) -> tuple[Sentence, ...]:
    """One sentence that says what is listened for now, as far as that need be said in the present manner."""
    text = _known_hint(library, state) if state.manner is Manner.FULL else _brief_hint(library, state)
    return (Sentence(text=text, kind="prompt"),) if text else ()


def full_hint(library: Library, state: State) -> tuple[Sentence, ...]:
    """The same for who does not know: after a refusal, a silence, or what was not understood."""
    text = _full_hint(library, state)
    return (Sentence(text=text, kind="prompt"),) if text else ()


def _known_hint(library: Library, state: State) -> str:
    """In full, without what was said at each step before and tells nothing new: how to answer one like it."""
    step, pending = step_of(library, state), state.pending
    text = _full_hint(library, state)
    if state.mode is Mode.CONFIRMING and pending and not pending.by and A_YES in state.named:
        return text.replace(LOG_IT, "" if pending.offered else "Yes?").strip()
    if state.mode is not Mode.ASKING or not state.named & names_of(step, state.at):
        return text
    return {DONE: "Say done.", YOUR_ANSWER: "" if "?" in step.say else YOUR_ANSWER}.get(text, text)


def _brief_hint(library: Library, state: State) -> str:
    mode, step, pending = state.mode, step_of(library, state), state.pending
    if mode is Mode.CONFIRMING and pending and not pending.by and other_view(step, state, pending.name) is None:
        return f"Did you say {pending.words}?" if pending.offered else f"{sentence(as_shown(pending.words))} Yes?"
    if mode in (Mode.RESTING, Mode.WAITING):
        return ""
    if mode not in (Mode.ASKING, Mode.POISED):
        return _full_hint(library, state)
    if mode is Mode.ASKING and state.burst_done:
        return ""  # it was asked before the starter turned
    known = state.named & names_of(step, state.at)
    if mode is Mode.POISED:
        return "Say ready."
    asked = "?" in say_of(step, state.manner)[0]
    names_unit = step.unit is not None and unit_named(step.unit).many in step.say
    told = step.kind is Kind.TELL or END_PHRASES[0] in step.say or names_unit
    return "" if known or asked or told or state.manner is Manner.TERSE else _full_hint(library, state)


def _full_hint(library: Library, state: State) -> str:
    mode, step = state.mode, step_of(library, state)
    if mode in (Mode.CAUTIONING, Mode.GATING):
        return f"Say: {answers(library, state)[0]}."
    if mode is Mode.POISED:
        return "Say ready when you are set." if step.kind is Kind.PACE else "Say ready, and go to the key."
    if mode is Mode.CONFIRMING and state.pending:
        return _confirm_hint(step, state, state.pending)
    if mode is Mode.ASKING:
        return _answer_hint(library, state, step)
    if mode is Mode.STRIKING:
        return _strike_hint(state)
    if mode is Mode.TIMING:
        return "I am counting. Say stop to end it."
    if mode is Mode.CLOSING:
        if state.open_items:
            stays = ITEMS.get(state.open_items[0]) not in NEVER_LEFT
            return f"The {state.open_items[0]}: say it is put right{', or left off' if stays else ''}."
        return _closing_hint(library, state)
    return {
        Mode.RESTING: "I will tell you when the starter has rested.",
        Mode.WAITING: "I will tell you when the time is up.",
        Mode.HELD: "Say resume to go on.",
        Mode.EXCUSING: f"Why not? Say {say_list([each[0] for each in CANNOT_RESULTS.values()], last='or')}.",
        Mode.EXPLAINING: "Why do you skip it? Say the reason, or no to stay.",
        Mode.NOTING: "I am taking a note. Speak, or say no to drop it.",
        Mode.ENDING: "End the job here? Say yes to end it, or no to go on.",
        Mode.ENDED: "This job is closed.",
    }.get(mode, "")


def _closing_hint(library: Library, state: State) -> str:
    if may_check(library, state) and state.manner is not Manner.FULL:
        return "Say repair done, or done."
    if may_check(library, state):
        return "Say repair done when it is mended, or done to close the job."
    return "Say done to close the job."


def _strike_hint(state: State) -> str:
    strike = strike_now(state)
    if strike is None:
        return ""
    return f"Strike {strike.words}{', and go back to it' if strike.visits else ''}? Yes or no."


def _confirm_hint(step: Step, state: State, pending: Pending) -> str:
    if pending.by == "ear":  # nobody said it yet
        return f"It sounded like {pending.words}. Say yes to log it, or what you saw."
    other = other_view(step, state, pending.name)
    asked = f"Did you say {pending.words}?" if pending.offered else f"I heard {pending.words}."
    if other is None:
        return f"{asked} {LOG_IT}"
    sounded = f"To me it sounded like {other.phrases[0]}."
    if pending.offered:
        return f"{sounded} {asked} {LOG_IT}"
    return f"{sounded} You said {pending.words}. Keep your answer? Say yes or no."


def _answer_hint(library: Library, state: State, step: Step) -> str:
    if step.kind is Kind.INSTRUCT:
        return f"Say done, or {step.done[0]}." if step.done else DONE
    if step.kind is Kind.READING and step.unit:
        return f"Say the reading in {unit_named(step.unit).many}."
    if step.kind is Kind.TELL:
        return "Speak. I will keep your words."
    if step.kind is Kind.CODES:
        return f"Say a code, or {END_PHRASES[0]}."
    choices = [result.phrases[0] for result in step.results]
    if len(choices) > SPOKEN_CHOICES:
        return YOUR_ANSWER
    return f"Say {say_list(choices, last='or')}."


def where_words(library: Library, state: State, at_s: float) -> tuple[Sentence, ...]:
    """Where the job stands: procedure, step, place, what is still off the car, and what is listened for."""
    step = step_of(library, state)
    place = PLACES[step.place]
    text = f"{sentence(procedure_of(library, state).title)} Step {step.id.replace('-', ' ')}, {place}."
    if state.mode is Mode.HELD:
        text += " On hold."
    so = words_of(state.bay, at_s, of_use=True)
    bay = sentence(f"As far as I know: {say_list(so)}") if so else ""
    said = " ".join(each for each in (text, open_words(state), bay) if each)
    return (Sentence(text=said), *left_words(state, at_s), *hint(library, state))


def open_words(state: State) -> str:
    """What is still off the car or added to it; empty when nothing is."""
    return f"Still to put right: {say_list(state.open_items)}." if state.open_items else ""


def left_words(state: State, at_s: float) -> tuple[Sentence, ...]:
    """How long a rest or a wait still takes."""
    until_s = {Mode.RESTING: state.rest_until_s, Mode.WAITING: state.wait_until_s}.get(state.mode)
    if until_s is None:
        return ()
    return (Sentence(text=f"{say_seconds(max(0.0, until_s - at_s)).capitalize()} left."),)


def spoken_finding(step: Step, manner: Manner) -> tuple[Sentence, ...]:
    """What is said of the finding by itself; all of it stands in the record, and "say again" tells it."""
    said = finding_words(step)
    if manner is Manner.FULL:
        return said
    left_out: tuple[str, ...] = ("For the customer: ", "The vehicle maker's information")
    left_out += ("Not tested: ",) if manner is Manner.TERSE else ()
    return tuple(each for each in said if not each.text.startswith(left_out))


def finding_words(step: Step, standing: str = "") -> tuple[Sentence, ...]:
    """The finding in full: what tests showed, likely, untested, what to do next, and the words for the customer.

    `standing`: how sure it is by the odds, where any are reckoned; else it claims no more than its tests.
    """
    found, doubt = step.finding, lead(standing)
    opening = f"The finding, {doubt.lower()}. {sentence(step.say)}" if doubt else f"The finding. {sentence(step.say)}"
    said = [Sentence(text=opening.strip(), kind="instruction")]
    if found is None:
        return tuple(said)
    for name, lines in ((BY_TEST, found.proved), (BEHIND_IT, found.likely), ("Not tested", found.untested)):
        if lines:
            said.append(Sentence(text=f"{name}: {' '.join(sentence(line) for line in lines)}"))
    if found.advice:
        advice = found.advice.removesuffix(RECHECK).strip()  # what is listened for says how, where there is one
        said.append(Sentence(text=f"Next: {sentence(advice)}", kind="instruction"))
    if found.customer:
        told = f"{sentence(doubt)} {sentence(found.customer)}" if doubt else sentence(found.customer)
        said.append(Sentence(text=f"For the customer: {told}"))
    said.append(Sentence(text="The vehicle maker's information comes first."))
    return tuple(said)
