"""A job on the shipped procedures that is led by what it waits for: cautions and gates passed, answers by step."""

from assistant.guide import Mode, advance, begin, expected, next_deadline
from assistant.language.commands import phrase_of
from assistant.language.model import Heard, TellTest, TimePassed
from assistant.language.speech import Sentence
from assistant.language.understand import understand

CAR = {
    "fuel": "petrol",
    "hybrid": "no",
    "glow-plugs-or-intake-heater": "no",
    "throttle-by-wire": "no",
    "forced-induction": "no",
    "ignition": "coil-on-plug",
    "cylinders": "4",
}
MOST_TURNS = 200


class Led:
    """`answers`: "procedure/step" or step -> what is said there; else the first answer is given."""

    def __init__(self, library, procedure, answers=None, **options):
        self.library, self.answers = library, answers or {}
        self.facts, self.said, self.asked = [], [], []
        self.take(begin(library, procedure, "k", "job", CAR, **options))

    def take(self, turn):
        self.turn, self.state = turn, turn.state
        self.facts += turn.facts
        self.said += [each.text for each in turn.reply if isinstance(each, Sentence)]
        return self

    @property
    def at(self):
        return self.state.at.step

    @property
    def words(self):
        return " ".join(each.text for each in self.turn.reply if isinstance(each, Sentence))

    def say(self, words):
        heard = Heard(words=words, confidence=1.0)
        command = understand(heard, expected(self.library, self.state))
        return self.take(advance(self.library, self.state, command, self.state.at_s, heard=heard))

    def control(self, control):
        return self.say(phrase_of(control))

    def tell(self, test, result, *makes):
        """A test of the technician's own choice, with what it leaves so of car and bay."""
        words = f"{test} {result}"
        told = TellTest(test=test, result=result, words=words, makes=makes)
        return self.take(advance(self.library, self.state, told, self.state.at_s))

    def step_on(self):
        """One thing that is waited for."""
        state = self.state
        due_s = next_deadline(state)
        if due_s is not None:
            return self.take(advance(self.library, state, TimePassed(), due_s))
        may = expected(self.library, state)
        if may.acknowledge:
            self.asked.append(may.acknowledge[0])
            return self.say(may.acknowledge[0])
        if state.mode in (Mode.POISED, Mode.CONFIRMING):
            return self.say("ready" if state.mode is Mode.POISED else "yes")
        step = self.library[state.at.procedure].step(state.at.step)
        known = self.answers.get(f"{state.at.procedure}/{state.at.step}") or self.answers.get(state.at.step)
        if known is not None:
            return self.say(known)
        return self.say("done" if not may.results else step.results[0].phrases[0])

    def until(self, *steps, mode=None):
        """On until one of these steps is entered, in that mode where one is given."""
        for _ in range(MOST_TURNS):
            if self.at in steps and (mode is None or self.state.mode is mode):
                return self
            assert self.state.mode not in (Mode.CLOSING, Mode.ENDED), f"ended at {self.at}: {self.said[-6:]}"
            self.step_on()
        raise AssertionError(f"never at {steps}, but at {self.at}: {self.said[-8:]}")

    def instructed(self, step):
        """Whether the instruction of the step was spoken."""
        return any(fact.kind.value == "instruction-spoken" and fact.step == step for fact in self.facts)
