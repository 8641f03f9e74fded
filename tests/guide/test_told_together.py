"""Facts of the car in one breath, and fault codes: what is kept of them, and when."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, advance, begin, expected
from assistant.language.model import GiveCode, GiveFacts, Heard
from assistant.language.speech import Sentence
from assistant.language.understand import understand


class Talk:
    """A job that is spoken to, from the first question on."""

    def __init__(self, library, *words, **options):
        self.library = library
        self.take(begin(library, "no-start", "k", "job", {}, **options))
        for each in words:
            self.say(each)

    def take(self, turn):
        self.turn, self.state = turn, turn.state
        return self

    def say(self, words, **hearing):
        heard = Heard(words=words, **{"confidence": 1.0, **hearing})
        command = understand(heard, expected(self.library, self.state))
        return self.take(advance(self.library, self.state, command, self.state.at_s, heard=heard))

    @property
    def kinds(self):
        return [fact.kind for fact in self.turn.facts]

    @property
    def said(self):
        return " ".join(each.text for each in self.turn.reply if isinstance(each, Sentence))


def test_facts_in_a_breath_are_read_back_together_and_kept_by_one_yes(library) -> None:
    """Each is a fact of its own, and the question that waited is put again."""
    talk = Talk(library, "petrol four cylinders with coils on the plugs")
    assert talk.said == "I heard petrol, four cylinders and coil on plug. Say yes to log it."
    assert talk.state.vehicle == {} and talk.state.mode is Mode.CONFIRMING
    talk.say("yes")
    assert talk.kinds == [*[FactKind.VEHICLE_NOTED] * 3, FactKind.RESULT_REJECTED]
    assert {fact.data["fact"]: fact.data["value"] for fact in talk.turn.facts[:3]} == {
        "fuel": "petrol", "cylinders": "4", "ignition": "coil-on-plug"
    }  # fmt: skip
    assert talk.state.vehicle == {"fuel": "petrol", "cylinders": "4", "ignition": "coil-on-plug"}
    assert talk.state.at.step == "rules" and "Say done, or understood." in talk.said


def test_facts_in_a_breath_that_are_denied_are_not_kept(library) -> None:
    """No is no to all of them."""
    talk = Talk(library, "petrol four cylinders with coils on the plugs", "no")
    assert talk.kinds == [FactKind.RESULT_REJECTED] and talk.state.vehicle == {}


def test_the_fact_that_is_asked_leads_on_past_what_is_known(library) -> None:
    """Told at its own question, it is that question's answer, logged last."""
    talk = Talk(library)
    for _ in range(40):
        if talk.state.at.step == "fuel":
            break
        may = expected(library, talk.state)
        words = "yes" if talk.state.mode is Mode.CONFIRMING else "it will not start" if may.dictation else None
        talk.say(words or (may.acknowledge or (*(one[0] for one in may.results.values()), "done"))[0])
    assert talk.state.at.step == "fuel"
    talk.say("petrol and six cylinders").say("yes")
    assert talk.kinds[:2] == [FactKind.VEHICLE_NOTED, FactKind.RESULT_LOGGED]
    assert talk.state.vehicle["cylinders"] == "6" and talk.state.vehicle["fuel"] == "petrol"
    assert talk.state.at.step != "fuel"


@pytest.mark.parametrize("told", [GiveFacts(facts=()), GiveCode(code="P0335", words="p zero three three five")])
def test_nothing_told_is_nothing_kept(library, told) -> None:
    """A code where none is asked is refused; no fact in a breath is kept as none."""
    talk = Talk(library)
    before = talk.state
    talk.take(advance(library, before, told, 0.0))
    assert talk.turn.refused and talk.state == before
