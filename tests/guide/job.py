"""A job on the small made-up procedure that tests speak to."""

from assistant.guide import advance, begin, expected, next_deadline
from assistant.language.model import Heard, TimePassed
from assistant.language.speech import Sentence
from assistant.language.understand import understand
from tests.guide.small import small_library

LIBRARY = small_library()
TO_CRANK = ("done", "all clean", "yes", "twelve point six volts", "it is in park", "nothing can roll")
"""What is said until the starter may turn."""


class Job:
    """A job that is spoken to."""

    def __init__(self, *words, **options):
        self.at_s = 0.0
        self.take(begin(LIBRARY, "small", "k", "job", {}, **options))
        self.facts = list(self.turn.facts)
        for each in words:
            self.say(each)

    def take(self, turn):
        self.turn, self.state = turn, turn.state

    def act(self, command, heard=None):
        self.take(advance(LIBRARY, self.state, command, self.at_s, heard=heard))
        self.facts += self.turn.facts
        return self

    def say(self, words, **hearing):
        return self.hear(Heard(words=words, **{"confidence": 1.0, **hearing}))

    def hear(self, heard):
        return self.act(understand(heard, expected(LIBRARY, self.state)), heard)

    def wait(self, seconds):
        self.at_s += seconds
        while (due_s := next_deadline(self.state)) is not None and due_s <= self.at_s:
            self.take(advance(LIBRARY, self.state, TimePassed(), due_s))
            self.facts += self.turn.facts
        return self

    @property
    def said(self):
        return " ".join(each.text for each in self.turn.reply if isinstance(each, Sentence))

    @property
    def kinds(self):
        return [fact.kind for fact in self.turn.facts]
