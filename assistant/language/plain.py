"""Words without marks and capitals, as phrases are written. Pure."""

from __future__ import annotations

import re

_LOST_MARKS = re.compile(r"[^\w\s'.,%°+\-]")
_LETTER_HYPHEN = re.compile(r"(?<=[a-z])-(?=[a-z])")
_END_MARK = re.compile(r"[.,](?=\s|$)")


def plain_words(text: str) -> str:
    """The text in lower case with single blanks and without marks, as phrases are written; numbers keep theirs."""
    lower = text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").replace("\N{MINUS SIGN}", "-")
    lower = _LETTER_HYPHEN.sub(" ", _LOST_MARKS.sub(" ", lower))
    return " ".join(_END_MARK.sub(" ", lower).split())
