"""What is also written without the grammar where an answer is waited for, and what a stop of the grammar needs."""

from __future__ import annotations

from collections.abc import Collection

from assistant.hearing.trust import Thresholds
from assistant.language.commands import Stakes
from assistant.language.grammars import says_all
from assistant.language.model import Heard
from assistant.language.stakes import control_said, stakes_of

STOP_BY_GRAMMAR = Thresholds(act=0.8, ask=0.8)
"""What a stop or pause of the grammar needs, which is obeyed even where it is unsure: its own ear hears it besides.
Source: of 258 "stop" by people at 38 to 6 dB the grammar told 104 first, all but one with 0.89 and more; of eight that
were none the grammar took five, four of them over a noise that had just begun, with 0.26 to 0.77 and once 0.93. Of
1,436 answers in own words, spoken, three were taken for one with 0.25 to 0.38."""

COMMAND_SECOND_BELOW = 0.9
"""Trust below which a command is also written freely where an answer is waited for. Source: of commands by the tuning
voices at 15 dB nearly all have more; of 7 answers that were taken for one 4 have less."""

SECOND_BELOW = 0.998
"""Trust below which an answer is also written without the grammar. Source: of 1,143 answers in own words that were
heard as a result 109 had 0.995 or more, two of them wrong, and 21 had 0.998, all right."""


def wants_second(heard: Heard, tags: Collection[str]) -> bool:
    """Whether free writing may tell more: of what was refused, of an answer that is not quite sure, and of a command
    that is doubtful. `tags`: of the grammar, on the way through the words."""
    if heard.words is None:
        return True
    if heard.confidence >= SECOND_BELOW or not all(map(says_all, tags)):
        return False
    control = control_said(heard.words, tags)
    if control is not None:
        return heard.confidence < COMMAND_SECOND_BELOW and not control.row.cuts_speech
    return stakes_of(heard.words, tags, hazardous=False) is Stakes.ANSWER
