"""That a test was done already, told without what it showed: "I've done the spark test". What it showed is asked.

Nothing is kept of it: a test that was done tells as little as one that was not until its result is told. Plain English,
our own choice; no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.english import heard as texts
from assistant.language.commanded import written_out
from assistant.language.model import Expected, Unclear, UnclearReason
from assistant.language.plain import plain_words
from assistant.language.questions import I_FOUND

MOST_NAMED = 4
"""Results of a test that are named at once."""

_WHO = r"(?:i|we|he|she|they|you|somebody|someone|(?:the |my )?(?:mate|colleague|customer|owner|other (?:shop|garage)))"
_DID = (
    r"(?:(?:have|has|had|did|already|just|even|also) )*(?:done|did|do|made|run|ran|tested|checked|tried|measured"
    r"|looked at|been through|finished|performed|carried out)"
)
_WHEN = (
    r"(?:already|before|earlier|yesterday|today|this morning|last (?:week|night)|(?:once|twice)|myself|too|now"
    r"|(?:a|two|three|ten|five) (?:minutes?|hours?|days?) ago|a (?:minute|while|bit) ago|for that|as well)"
)
_BEFORE = r"(?:(?:well|but|look|hey|no|so|and|that|this) )*"
_TOLD = re.compile(
    rf"^{_BEFORE}(?:{_WHO} {_DID}(?: (?:a|the|that|this|my|its))?(?P<what>(?: [a-z']+){{1,6}}?)"
    rf"|(?:a |the |that |this )?(?P<then>(?:[a-z']+ ){{1,6}}?)(?:(?:is|was|were|has|have|had|been|got|already|just) )+"
    rf"(?:done|made|run|tested|checked|tried|measured|performed|carried out))(?: {_WHEN})*$"
)
_LITTLE = frozenset(
    (
        "a", "an", "the", "of", "at", "to", "on", "in", "for", "my", "its", "it", "this", "that", "test", "check",
        "checks", "tests", "look", "over", "question", "about", "one", "once", "more",
    )
)  # fmt: skip
_DENIES = re.compile(r"\b(?:not|never|no|n't|nothing|cannot|yet)\b|n't\b")


def which_result(words: str, expected: Expected, *, named: bool) -> Unclear | None:
    """What is asked of who says that a test was done. None where these plain words do not say so; `named`: only where
    one test is named, else only where none is."""
    said = _TOLD.match(written_out(words))
    if said is None or not expected.tests or _DENIES.search(words):
        return None
    what = (said["what"] or said["then"] or "").split()
    if expected.work and not (frozenset(what) - _LITTLE).isdisjoint(plain_words(expected.work).split()):
        return None  # of the very work that is to be done
    test = _test_named(what, expected.tests)
    if test is None:
        of_a_test = {"test", "tests", "check", "checks"} & {*what, *words.split()} or set(what) <= {"it", "that"}
        ask = not named and of_a_test
        return Unclear(reason=UnclearReason.UNSURE, words=words, detail=texts.WHICH_TEST) if ask else None
    clauses = [said[0] for key, said in expected.supposed.items() if key.partition("=")[0] == test and said]
    if not named or not clauses:
        return None
    shown = [f"{I_FOUND} {each}" for each in clauses[:MOST_NAMED]]
    return Unclear(reason=UnclearReason.UNSURE, words=words, detail=texts.what_it_showed(expected.tests[test], shown))


def _test_named(said: list[str], tests: Mapping[str, str]) -> str | None:
    """The one test that these words name, by its own name or by a part of it that no other's has."""
    wanted = frozenset(said) - _LITTLE
    if not wanted:
        return None
    named = {test: frozenset(name.split()) - _LITTLE for test, name in tests.items()}
    same = [test for test, words in named.items() if words == wanted]
    part = [test for test, words in named.items() if wanted < words]
    found = same or part
    return found[0] if len(found) == 1 else None
