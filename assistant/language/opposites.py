"""Whether two things said are opposites: one denies what the other does not, or holds the other's opposite word.

An offer ("did you say ...?") never turns what was said into its opposite: a tired yes would log it. Plain English, no
source but the phrases of the procedures themselves.
"""

from __future__ import annotations

import re
from difflib import SequenceMatcher

from assistant.language.model import Heard

_DENIALS = frozenset(
    ("no", "not", "nothing", "none", "nobody", "nowhere", "neither", "never", "without", "cannot")
)  # fmt: skip
_NEGATIONS = _DENIALS | {"hardly", "barely", "absent", "missing", "gone"}
_AFFIRMED = {"nobody": "somebody", "nothing": "something", "won't": "will", "can't": "can", "cannot": "can"}
_SOUND_ALIKE = {"know": "no", "knot": "not", "nun": "none", "non": "none"}
"""What free writing makes of a negation."""

_PAIRS = (
    ("strong", "weak"), ("good", "bad"), ("good", "poor"), ("on", "off"), ("open", "closed"), ("open", "shut"),
    ("loose", "tight"), ("wet", "dry"), ("clean", "dirty"), ("whole", "blown"), ("sound", "damaged"), ("lit", "dark"),
    ("even", "uneven"), ("high", "low"), ("holds", "drops"), ("steady", "drops"), ("intact", "broken"),
    ("whole", "broken"), ("whole", "torn"), ("good", "torn"), ("starts", "dead"), ("fast", "slow"),
    ("quickly", "slowly"), ("normally", "slowly"), ("rises", "falls"), ("full", "empty"), ("passed", "failed"),
    ("sound", "loose"), ("hums", "silent"), ("alive", "died"), ("keeps", "died"), ("alive", "dies"),
    ("locked", "unlocked"), ("plugged", "unplugged"), ("in", "out"), ("stays", "goes"), ("more", "less"),
)  # fmt: skip
_OPPOSITES = frozenset(_PAIRS) | frozenset((other, one) for one, other in _PAIRS)

_NEAR_IN_SOUND = frozenset(
    (
        "something", "nothing", "everything", "anything", "even", "uneven", "locked", "unlocked", "plugged",
        "unplugged", "on", "off", "is", "are", "was", "were", "do", "does", "did", "has", "have", "had",
        "can", "could", "will",
    )
)  # fmt: skip
"""Words whose opposite differs by a sound or two: "nothing", "is not" run together."""


def opposed(one: str, other: str) -> bool:
    """Whether one denies and the other does not, or a word of one is the opposite of a word of the other."""
    ours, theirs = _words(one), _words(other)
    if _denies(ours) != _denies(theirs):
        return True
    only_ours, only_theirs = ours - theirs, theirs - ours
    return any((mine, its) in _OPPOSITES for mine in only_ours for its in only_theirs)


def contradicted(heard: Heard) -> bool:
    """Whether what the network writes freely is the opposite of the words that it heard in the grammar."""
    return bool(heard.words and heard.free_text and opposed(heard.words, heard.free_text))


def denies(text: str) -> bool:
    """Whether there is a word in it that denies: "no", "never", "isn't"."""
    return any(word in _DENIALS or word.endswith("n't") for word in _words(text))


def undenied(words: str) -> str:
    """The plain words with what denies left out: "it was never washed" is "it was washed"."""
    kept = (_AFFIRMED.get(word, word.removesuffix("n't")) for word in _apart(words).split())
    return " ".join(word for word in kept if word not in _DENIALS)


def supported(words: str, free_text: str) -> bool:
    """Whether free writing holds each of these words whose opposite sounds nearly the same, whole or in pieces.

    Where it does not, the words may be what the grammar made of their opposite.
    """
    ours = _words(words)
    written = "".join(letter for letter in free_text.lower() if letter.isalnum())
    return all(word in written for word in ours & _NEAR_IN_SOUND)


def alike(one: str, other: str) -> float:
    """How much of their letters two plain texts share in the same order, 0 to 1."""
    ours, theirs = ("".join(filter(str.isalnum, text)) for text in (one, other))
    return SequenceMatcher(None, ours, theirs, autojunk=False).ratio() if ours and theirs else 0.0


def _denies(words: frozenset[str]) -> bool:
    return any(word in _NEGATIONS or word.endswith("n't") for word in words)


def _apart(words: str) -> str:
    """With "nothing's" as "nothing is", for a word that denies is one however it is drawn together."""
    return re.sub(r"\b(nothing|nobody|none|neither)'s\b", r"\1 is", words)


def _words(text: str) -> frozenset[str]:
    text = _apart(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'"))
    plain = "".join(letter if letter.isalnum() or letter == "'" else " " for letter in text)
    return frozenset(_SOUND_ALIKE.get(word, word) for word in plain.split())
