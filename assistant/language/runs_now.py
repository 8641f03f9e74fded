"""That the engine runs, told out of turn: whole sentences that say so and nothing else.

Plain English, our own choice; no source. "It started and died", "it started to leak" and "it started yesterday" say
another thing, and "it is going" may be said of a pump.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.language.dangers import says, told_of
from assistant.language.model import Expected

RUNS_NOW = "the engine runs now"
"""The clause that it is told with, as after "I found": what a fault model calls the result that shows it."""

SAYABLE_RUNS = ("the engine is running now", "it started and keeps running", "it fired up and stays running")
"""What is listened for at any time. Free writing, and who types, may say more."""

_BEFORE = """[oh | hey | wait | hang on | well | and | so] [now | suddenly | wow | yes | look]"""
_ENGINE = "(it | she | [the | this] (engine | motor | car))"
_HAS = "[has | just | has just | finally | suddenly | actually]"
_NOW = """[right] [now | just now | again | at last | after all | suddenly | this time] [by itself | on its own |
    all by itself | for no reason]"""
_WELL = "[fine | well | okay | good | nicely | smoothly | rough | steady | a bit rough]"
_KEEPS = f"""( (is | keeps | stays | kept | stayed | keeps on | is still | still)
    (running | going | idling | alive | on) | runs [on] | ran on | idles | idling | running | lives ) {_WELL}"""
_STARTED = """( started [up | right up] | fired [right] up | fired and caught | came to life | sprang to life
    | burst into life | has come to life )"""
_RUNS = f"""
    {_BEFORE} {_ENGINE} {_HAS} {_STARTED} {_NOW} [ [and] [now] [it | she] {_KEEPS} {_NOW} ]
    | {_BEFORE} {_ENGINE} {_HAS} (fired | caught) {_NOW} and [now] [it | she] {_KEEPS} {_NOW}
    | {_BEFORE} {_ENGINE} {_HAS} (runs | ran on | (is | keeps | stays) [up and] running | is idling | idles
    | is ticking over | ticks over) {_WELL} {_NOW}
    | {_BEFORE} [the | this] (engine | motor) running {_NOW}
    | {_BEFORE} we have (a start | a running engine | ignition) | {_BEFORE} (i | we) got it (running | started | going)
    {_NOW}"""

_NAMED = re.compile(r"\b(?:engine|motor|car|fired|caught|life)\b")
_PUMP = re.compile(r"\b(?:pump|hum(?:s|med|ming)?|buzz\w*|whirr?\w*)\b")
_MOVES = re.compile(r"\b(?:start\w*|r[au]n\w*|fire[sd]?|idl\w+|hums?|humming|spin\w*|turn\w*|going|catch\w*|caught)\b")

_FIRES = re.compile(r"\b(?:fires?|fired|starts?|started|runs|running|idl(?:es|ing)|caught|catches|came to life)\b")
_ENDS = re.compile(r"\b(?:but|died|dies|dead|stall\w*|quits?|cuts? out|almost|nearly|briefly|second|starter)\b")
"""After these it does not run, or something else does: who says so is asked on."""


def tells_it_runs(said: Sequence[str]) -> bool:
    """Whether these plain words say, as a whole, that the engine runs."""
    return says(said, _RUNS)


def says_it_fires(words: str) -> bool:
    """Whether these words, an answer to whether the engine turns, say beside it that it started and did not die."""
    return _ENDS.search(words.lower()) is None and told_of(words.lower(), _FIRES)


def is_asked(words: str, expected: Expected) -> bool:
    """Whether these words may be an answer here: people are known to answer that it runs, but for a pump where the
    words name the engine; or, where they do not, with what starts, runs or turns: "it runs now" may be the pump."""
    if _MOVES.search(expected.work.lower()) is not None:  # to be told that it is done
        return True
    known = [each for answers in (expected.results, expected.examples) for said in answers.values() for each in said]
    if _NAMED.search(words) is not None:
        pump = any(_PUMP.search(each) is not None for each in known)
        runs = (each for each in known if tells_it_runs(each.split()))
        return any(not pump or _NAMED.search(each) is not None for each in runs)
    return any(_MOVES.search(each) is not None for each in known)
