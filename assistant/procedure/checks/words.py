"""A step whose words tell the technician to do something dangerous carries that hazard.

Only orders count: a verb at the head of a clause ("then crank for five seconds"), or someone told to do it ("have the
second person crank"). What is forbidden ("do not spray"), asked ("Spray can away?"), or only named ("the crank sensor")
does not. Where the words leave a doubt nothing is told: the author must not have to fight this.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.procedure.checks.book import Page
from assistant.procedure.model import Hazard, Kind, Step

_SILENT_OR_END = frozenset({Kind.CHOOSE, Kind.CALL, Kind.RETURN, Kind.FINDING})

_SENTENCE = re.compile(r"[^.!?;:]+[.!?;:]?")
_CLAUSE = re.compile(r",?\s+(then|but|and then|and|or|while you|so)\s+|,\s*")
_NEGATION = re.compile(r"\b(do not|don't|never|no|not|without|nobody|avoid|instead of|rather than|must not|nor)\b")
_CONDITION = re.compile(r"(?:if|when|unless|until|once|where|as long as|as soon as)\b")
_LEAD_IN = re.compile(
    r"^(?:(?:now|then|next|again|please|gently|slowly|briefly|carefully|quickly|once more|after that|when ready|just|"
    r"only|to finish|if you can|(?:from|at|in) the (?:seat|hood)|with the remote switch)\s+)+"
)
_SOMEONE = re.compile(
    r"^(?:have|let|ask|get|tell|signal)\s+(?:(?:your|the|a|another|second|other)\s+)*\w+\s+(?:to\s+)?"
)

_PATTERNS = {
    Hazard.SPRAYING: (r"(?:spray|squirt|shoot|mist)\b(?!\s+(?:can|bottle|tin|nozzle|cap|lid|gun)\b)",),
    Hazard.CRANKING: (
        r"crank\b(?!\s+(?:sensor|signal|shaft|pulley|case|position|bolt|test|speed|wheel|trigger|plug|connector)\b)",
        r"turn the key to (?:start|crank)",
        r"hold the key (?:in|at) start",
        r"turn (?:the engine|it) over with the (?:key|starter)",
        r"press the remote (?:starter )?(?:switch|button)",
        r"(?:work|run) the starter",
    ),
    Hazard.RUNNING_ENGINE: (
        r"start (?:the (?:engine|car|motor|vehicle)|it)\b",
        r"let (?:the engine|it) (?:run|idle)",
        r"(?:run the engine|keep the engine running|rev (?:the engine|it)\b)",
    ),
    Hazard.OPEN_FUEL_LINE: (
        r"(?:open|undo|loosen|disconnect|unscrew|crack|pull off|take off|remove|slip off|release|break)\s+"
        r"(?:\w+\s+){0,3}?fuel\s+(?:\w+\s+)?(?:line|hose|pipe|union|joint|fitting|coupling|connection|rail|filter)\b",
    ),
    Hazard.BATTERY_CLAMP: (
        r"(?:(?:dis|re)?connect|remove|take off|lift off|undo|loosen|(?:re)?fit|(?:un)?clamp|(?:un)?clip|tighten|"
        r"(?:take|lift|pull)\b(?=.*\boff\b))\b"
        r"(?=.*\bbattery\b(?! (?:tray|cover|vents?|hold-down)\b))(?!.*\b(?:away|far|off|clear) from\b)"
        r"(?!.*\b(?:meter|probes?|multimeter)\b)",
    ),
    Hazard.EXPOSED_SPARK: (
        r"(?:fire|draw|make|jump|strike|flash)\s+(?:an?|the|one)\s+(?:\w+\s+)?(?:spark|arc)\b"
        r"(?!\s+(?:plug|tester|test|check|gap)\b)",
        r"(?:watch|look at|look for)\b.*\bsparks?\b(?!\s+(?:plugs?)\b)",
    ),
    Hazard.HOT_WORK: (
        r"(?:weld|solder|braze|grind)\b",
        r"(?:heat|warm)\b.*\b(?:torch|flame|heat gun|hot air)\b",
        r"light the (?:torch|burner)",
    ),
}
_ORDERS = tuple((hazard, re.compile("|".join(patterns))) for hazard, patterns in _PATTERNS.items())


def check_words(page: Page) -> None:
    """Orders in the words of a step that its hazards do not own up to."""
    for step in page.procedure.steps:
        if step.kind in _SILENT_OR_END:
            continue
        for key, text in step.texts():
            for hazard, words in orders_in(text):
                if hazard not in step.all_hazards and not _excused(step, hazard):
                    page.step_fault(
                        step,
                        key,
                        f"found the order '{words}' in '{key}' of a step without the hazard {hazard}; expected the "
                        "hazard with its caution; do add it to 'hazards', or say otherwise what is meant",
                    )
                    break


def orders_in(text: str) -> Iterator[tuple[Hazard, str]]:
    """Each dangerous order in a text with the words that give it."""
    for clause in _clauses(text):
        bare = _SOMEONE.sub("", _LEAD_IN.sub("", clause), count=1)
        for hazard, pattern in _ORDERS:
            if any(pattern.match(words) for words in dict.fromkeys((_LEAD_IN.sub("", clause), bare))):
                yield hazard, " ".join(clause.split()[:8])


def _clauses(text: str) -> Iterator[str]:
    """The clauses of every sentence that orders; a negation holds until `then`, `but` or the end of the sentence."""
    for sentence in _SENTENCE.findall(text.lower()):
        if sentence.rstrip().endswith("?"):
            continue
        parts = _CLAUSE.split(sentence.strip().rstrip(".!;:"))
        negated = False
        for clause, joint in zip(parts[::2], [None, *parts[1::2]], strict=True):
            if joint in ("then", "but", "and then"):
                negated = False
            negated = negated or (_NEGATION.search(clause) is not None and not _CONDITION.match(clause))
            if not negated and clause.strip():
                yield clause.strip()


def _excused(step: Step, hazard: Hazard) -> bool:
    """A crank burst may start the engine, and whoever says so in a crank step has said enough."""
    return hazard is Hazard.RUNNING_ENGINE and step.kind is Kind.CRANK
