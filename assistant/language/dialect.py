"""Words of some regions in the words that the rest of the program knows: "naw", "aye", "didnae", "nothin'".

Plain English, our own choice; no source.
"""

from __future__ import annotations

import re

_PAIRS = (
    "naw=no nae=no nane=none oot=out aff=off aye=yes ay=yes yin=one aw=all gaun=going hingin=hanging deid=dead "
    "ain't=isn't nah=no nope=no yep=yes yeah=yes yup=yes ja=yes wee=little nowt=nothing owt=anything "
    "summat=something nuttin=nothing nuthin=nothing ya=you ye=you cannot=can't cannae=can't dinnae=don't didnae=didn't "
    "isnae=isn't wasnae=wasn't doesnae=doesn't couldnae=couldn't wouldnae=wouldn't hasnae=hasn't havenae=haven't "
    "willnae=won't conked=conks spluttered=sputtered spluttering=sputtering"
)
_WORDS = dict(pair.split("=") for pair in _PAIRS.split())

_SHORT_ING = re.compile(r"(?<=[a-z]{2})in'(?![a-z])")
_NOT = re.compile(r"n't\b")


def plainly(words: str) -> str:
    """The same words as most write them, "not" as a word of its own."""
    said = _SHORT_ING.sub("ing", words)
    return _NOT.sub(" not", " ".join(_WORDS.get(word, word) for word in said.split()))
