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
    "willnae=won't conked=conks spluttered=sputtered spluttering=sputtering wisnae=wasn't arenae=aren't "
    "shouldnae=shouldn't tae=to fae=from frae=from doon=down roon=round roond=round wis=was auld=old cauld=cold "
    "heid=head mibbe=maybe mebbe=maybe naething=nothing nuffin=nothing zilch=nothing nada=nothing an'=and 'em=them "
    "wi'=with o'=of 'cause=because cos=because coz=because cuz=because dat=that dis=this dem=them clarty=dirty "
    "manky=dirty mucky=dirty yer=your youse=you "
    "mair=more whit=what wan=one noo=now haud=hold gonnae=going gie=give gie's=give whaur=where yersel=yourself"
)
_WORDS = dict(pair.split("=") for pair in _PAIRS.split())

_SHORT_ING = re.compile(r"(?<=[a-z]{2})in'(?![a-z])")
_NOT = re.compile(r"n't\b")
_NOTHING = re.compile(r"\b(?:bugger|sod|naff|jack|damn|feck|sweet|hee) (?:all|haw)\b|\bdiddly(?: squat)?\b")


def in_common_words(words: str) -> str:
    """The same as most say them."""
    said = _NOTHING.sub("nothing", _SHORT_ING.sub("ing", words))
    return " ".join(_WORDS.get(word, word) for word in said.split())


def plainly(words: str) -> str:
    """The same as most write them, "not" as a word of its own."""
    return _NOT.sub(" not", in_common_words(words))
