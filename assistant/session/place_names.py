"""What may follow "take me to": the names of blocks, and those by which we speak of the tests in them. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.procedure.sound import unknown_words
from assistant.reasoning.model import Model
from assistant.session.blocks import Inside

_PLAIN = re.compile(r"[a-z]+(?:'[a-z]+)?(?: [a-z]+(?:'[a-z]+)?)*")


def places_of(model: Model, blocks: Mapping[str, Mapping[str, Inside]]) -> Mapping[str, tuple[str, ...]]:
    """Block -> its own names, then the names of its tests. `blocks`: block -> the tests in it, each with its way.

    A test that several blocks hold leads to where it is soonest had; the name of a block is that block's alone, and a
    name that cannot be said is left out.
    """
    named = {block.step: [block.say, *block.also] for block in model.blocks if block.step in blocks}
    taken = {name for block in model.blocks for name in (block.say, *block.also)}
    for test in model.tests:
        ways = [
            (inside[test.id].far, block) for block, inside in blocks.items() if block in named and test.id in inside
        ]
        if ways and test.say not in taken and _PLAIN.fullmatch(test.say) and not unknown_words(test.say):
            taken.add(test.say)
            named[min(ways)[1]].append(test.say)
    return {block: tuple(names) for block, names in named.items()}
