"""That an instruction was carried out, told by what it is about: "gloves and glasses on", "key's out, gauge is in".

Held against the instruction's own words, since the same sentence elsewhere is an answer or talk. Two looks: where
nothing is said but things of the instruction and how they are now, it is done; where more is said it may be, and how
to say so is told. Plain English, our own choice; the words were gathered on one writer's 440 sentences.
"""

from __future__ import annotations

import re
from functools import lru_cache

from assistant.language.plain import plain_words

MOST_WORDS = 14
"""Longer sentences are talk. Source: judgement."""

GENERAL_WORDS = 6
"""So many words may say it of "it" and "everything", without a thing of the instruction. Source: judgement."""


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_NOW = _words(
    """across apart armed attached away back bare belongs bonded capped chalked charged clamped clean cleaned clear
    cleared clicked clipped closed cold complete connected cool cooled covered cycled disconnected done down drained
    emptied filled finished fitted free gone got had hanging hangs has have held holding home hooked hung in
    installed joined lies lifted locked loose made marked mounted noted off on open out parked peeled plugged poured
    pressed primed propped pulled pushed put ready reassembled reconnected refitted removed replaced running safe
    screwed sealed seated secured set shut sits slid stands stopped strapped swapped switched taped tied tight
    tightened together took topped torqued turned unclipped undone unhooked unplugged unscrewed up warm wedged went
    whole wiped written wrote"""
)
"""How things are, or what was done to them, once an instruction is carried out."""

_NOT_YET = _words(
    """about almost awkward bad baked before bent black blew broke broken burned burnt but can't cannot comes could
    cracked crooked dead depends dirty do does drawer drips else except far fault fell fetch fetching fights filthy
    first fog forgot goes going gonna green half hang hold how i'll if instead jump jumps keep keeps kept later leak
    leaking leaks leave leaving lemme let looking looks maybe melted might minute minutes missing moment more must
    near nearly need needs never next no not office oily only or other poor problem rain rather reckon rusted rusty
    second seems seized shed should skip slack slipping slips smell smells smoke snapped somebody someone somewhere
    soon sooner still stripped stuck swollen think third till too toolbox torn tried trouble truck trying unless
    until van wait waiting want wants weeping weeps what when where whether which who why without won't worn would
    wrong yet"""
)
"""What is asked, missing, stuck, noticed or still to come where any of these is said."""

_HARMLESS = re.compile(
    r"\b(?:no|nothing) (?:more |loose |wet )?(?:leaks?|drips?|cracks?|wet|fuel|petrol|spills?|left|gaps?|tools?)"
    r"(?: (?:left|anywhere|there|on it))?\b|\bno (?:bother|trouble|problem)\b|\bstands? still\b"
)
"""What denies only what should not be there."""

_PART = re.compile(
    r"\bone(?: of (?:the|them))? (?:clamp|lead|side|bolt|plug|end)?\b|\bto go\b|\b(?:now|just) (?:the|for|to)\b"
)
"""Something of it, and not all."""

_KEY = re.compile(r"\bkey(?:'s| is)? (on|in|off|out)\b")
_OPPOSITES = (
    ("on", "off"),
    ("in", "out"),
    ("open", "closed"),
    ("open", "shut"),
    ("plugged", "unplugged"),
    ("up", "down"),
)
_THINGS_IN_ING = _words(
    "bearing casing everything hanging holding housing nothing piping ring running spring standing string thing timing"
)
_BEFORE = _words("alright and now ok okay right so then there uh um well yeah yep yes")
_ASKS = _words("am any are is just please was were")
_ALL = _words("all both everything everything's")
_OF_ALL = _words("all both done everything everything's he's it it's she's that's they're")
_LITTLE = _words(
    """a again all and any are as at be both by done everything for from got have i i've into is it it's its key no now
    of off okay on out right so that that's the then there they're to two until well with you your"""
)
_KNOWN = _NOW | _LITTLE


_MENDED = re.compile(
    r"\b(?:fixed|mended|repaired|replaced|renewed|swapped|fitted|soldered|recoded|coded|cleaned up)\b"
    r"|\bnew (?:[a-z]+ ){1,3}(?:is |are )?(?:in|on)\b|\brepair(?: is| has been)? (?:all )?(?:done|finished|complete)\b"
)
_NOT_MENDED = re.compile(
    r"\b(?:not|no|never|cannot|yet|if|when|will|would|need\w*|should|must|have to|has to|going to|gonna|order\w*|before"
    r"|how|what|why|who|once|until|want\w*|[a-z]+n't)\b"
)


def tells_it_is_mended(words: str) -> bool:
    """Whether these plain words tell somewhere that what was found is repaired, and not that it is to be."""
    return _MENDED.search(words.replace("'s ", " is ")) is not None and _NOT_MENDED.search(words) is None


def may_be_done(words: str, work: str) -> bool:
    """Whether these plain words seem to tell that the instruction `work`, as it is spoken, was carried out."""
    said = _HARMLESS.sub(" ", words).split()
    while said and said[0] in _BEFORE:
        said = said[1:]
    if not said or len(said) > MOST_WORDS or said[0] in _ASKS or _PART.search(" ".join(said)):
        return False
    if any(word in _NOT_YET or word.endswith("n't") or _is_going_on(word) for word in said):
        return False
    if not any(word.removesuffix("'s") in _NOW for word in said):
        return False
    things = _things(work)
    named = any(_stem(word) in things for word in said if word not in _LITTLE)
    general = said[0] in _OF_ALL and len(said) <= GENERAL_WORDS
    return (named or general) and not _otherwise(" ".join(said), plain_words(work))


def is_done(words: str, work: str) -> bool:
    """Whether they surely do: nothing is said but things of the instruction and how they are now, and what comes last
    in it, or all of it, is among them. Who says no more than "can's away" may have the duct still open."""
    things, said = _things(work), words.split()
    last = _things(next(part for part in reversed(work.split(". ")) if part))
    known = (_stem(word) in things or {word, word.removesuffix("'s")} & _KNOWN for word in said)
    whole = not _ALL.isdisjoint(said) or any(_stem(word) in last for word in said if word not in _LITTLE)
    return whole and all(known) and may_be_done(words, work)


@lru_cache(maxsize=64)  # the same instruction is asked about by each thing said to it
def _things(work: str) -> frozenset[str]:
    return frozenset({_stem(word) for word in plain_words(work).split() if word not in _LITTLE})


def _is_going_on(word: str) -> bool:
    return word.endswith("ing") and word not in _THINGS_IN_ING


def _otherwise(words: str, work: str) -> bool:
    """Whether a thing is the other way than it should be: the key in, a prop out that goes in."""
    ours, theirs = ([found[1] in ("on", "in") for found in _KEY.finditer(text)] for text in (words, work))
    if ours and theirs and ours[-1] != theirs[-1]:
        return True
    said, wanted = (set(_KEY.sub(" ", text).split()) for text in (words, work))
    pairs = (pair for one, other in _OPPOSITES for pair in ((one, other), (other, one)))
    return any(one in said - wanted and other in wanted - said for one, other in pairs)


def _stem(word: str) -> str:
    word = word.removesuffix("'s")
    ending = next((end for end in ("ing", "ed", "er", "s") if word.endswith(end) and len(word) > len(end) + 2), "")
    return word.removesuffix(ending)
