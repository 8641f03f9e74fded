"""What the complaint told is offered for a yes at the question for it: never taken by itself, and never a guess."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, advance, begin, expected
from assistant.language.clauses import told_plainly
from assistant.language.manner import Manner
from assistant.language.model import Heard
from assistant.language.speech import Sentence
from assistant.language.understand import understand


class Talk:
    """A job of the main procedure from its start, with no plan."""

    def __init__(self, library, *said, manner=Manner.FULL):
        self.library, self.facts = library, []
        self.take(begin(library, "no-start", "k", "job", {}, manner=manner))
        for each in said:
            self.say(each)

    def take(self, turn):
        self.state, self.facts = turn.state, [*self.facts, *turn.facts]
        self.words = " ".join(each.text for each in turn.reply if isinstance(each, Sentence))
        return self

    def say(self, words):
        heard = Heard(words=words, confidence=1.0, free_text=words)
        command = understand(heard, expected(self.library, self.state))
        return self.take(advance(self.library, self.state, command, 1.0, heard=heard))

    @property
    def logged(self):
        return [(fact.step, fact.data["result"]) for fact in self.facts if fact.kind is FactKind.RESULT_LOGGED]


COMPLAINT = "it cranks but won't start, he just filled it up and then it cut out on the motorway"


def test_a_plain_answer_of_the_complaint_is_offered(library):
    """It is read back in place of the open question, and kept only after the yes."""
    talk = Talk(library, "understood", COMPLAINT)
    assert talk.state.mode is Mode.CONFIRMING
    assert "You said: just filled up." in talk.words
    assert "What came before" not in talk.words
    assert talk.logged == []
    talk.say("yes")
    assert talk.logged == [("changed", "fuel")]
    assert "You said: cut out at once." in talk.words
    talk.say("yes")
    assert talk.logged[-1] == ("how-stopped", "sudden")


def test_a_no_asks_the_open_question(library):
    """Whatever the complaint said, the technician's word counts."""
    talk = Talk(library, "understood", COMPLAINT, "no")
    assert talk.state.mode is Mode.ASKING
    assert "What came before?" in talk.words
    assert talk.say("just washed").state.at.step == "how-stopped"
    assert talk.logged == [("changed", "washed")]


def test_another_answer_than_yes_counts_at_once(library):
    """Whoever hears it offered may say what it was."""
    assert Talk(library, "understood", COMPLAINT, "recent repair").logged == [("changed", "repair")]


def test_what_was_offered_and_taken_is_struck_like_any_answer(library):
    """Struck, it no longer counts, and is asked again."""
    talk = Talk(library, "understood", COMPLAINT, "yes", "no", "strike that", "yes")
    struck = {fact.data["struck"] for fact in talk.facts if fact.kind is FactKind.STRUCK}
    kept = [fact for fact in talk.facts if fact.kind is FactKind.RESULT_LOGGED and fact.id not in struck]
    assert kept == []
    assert "You said: just filled up." in talk.words


def test_briefly_it_is_offered_in_a_breath(library):
    """Who knows the work hears it with its question alone."""
    talk = Talk(library, "understood", COMPLAINT, manner=Manner.BRIEF)
    assert "You said: just filled up. Yes?" in talk.words


@pytest.mark.parametrize(
    "words",
    [
        "it cranks but it will not start",
        "it was never washed",
        "no new battery, no repair, nothing",
        "turned the key and nothing",
        "she thinks it may have been washed",
        "he had a new battery fitted, and he just filled it up",
    ],
)
def test_what_is_not_plain_is_asked(library, words):
    """What is denied, supposed or told of two is asked as if nothing had been said."""
    talk = Talk(library, "understood", words)
    assert (talk.state.mode, talk.state.at.step) == (Mode.ASKING, "changed")


def test_of_two_stories_none_is_taken_silently(library):
    """What the odds make of the complaint answers no question by itself either."""
    talk = Talk(library, "understood", "cuts out on the motorway when hot, starts again when cool", "nothing")
    assert (talk.state.mode, talk.state.at.step) == (Mode.ASKING, "how-stopped")
    assert "How did it stop?" in talk.words


def test_what_the_complaint_says_with_after_is_told_plainly(library):
    """ "After" may begin what came before."""
    assert "recent repair" in Talk(library, "understood", "no start after a service").words


def test_a_clause_must_name_what_it_is_of(library):
    """ "It was fine yesterday" tells of the car, not of a tester."""
    step = library["spark-check-coil-on-plug"].step("was-proved")
    results = {each.id: each.phrases for each in step.results}
    answers = {each.id: each.answers for each in step.results if each.answers}

    def told(words):
        return told_plainly(words, results, answers, step.told_before)

    assert told("it was fine yesterday and died today") == frozenset()
    assert told("no start, and the tester has been proved on another engine") == {"proved"}
