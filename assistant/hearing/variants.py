"""Other ways in which a text may write a word that sounds the same. English.

Source: common spelling usage of both sides of the Atlantic and usual abbreviations; our own selection.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

VARIANTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "okay": ("ok",), "ok": ("okay",), "alright": ("allright",), "percent": ("%",), "and": ("&",),
        "mister": ("mr",), "doctor": ("dr",), "missus": ("mrs",), "saint": ("st",), "versus": ("vs",),
        "grey": ("gray",), "gray": ("grey",), "colour": ("color",), "color": ("colour",),
        "tyre": ("tire",), "tire": ("tyre",), "tyres": ("tires",), "tires": ("tyres",),
        "litre": ("liter",), "liter": ("litre",), "litres": ("liters",), "liters": ("litres",),
        "metre": ("meter",), "meter": ("metre",), "metres": ("meters",), "meters": ("metres",),
        "centre": ("center",), "center": ("centre",), 
        "leak": ("leek",), "leaks": ("leeks",), "brake": ("break",), "break": ("brake",), "brakes": ("breaks",),
        "weak": ("week",), "whole": ("hole",), "hole": ("whole",),
        "gauge": ("gage",), "gage": ("gauge",), "aluminium": ("aluminum",), "aluminum": ("aluminium",),
        "labour": ("labor",),
        "wait": ("weight",), "weight": ("wait",), "here": ("hear",), "hear": ("here",),
        "right": ("write",), "write": ("right",), 
        "one": ("won",), "two": ("to", "too"), "four": ("for",), "eight": ("ate",),
        "for": ("four",), "to": ("two",), "too": ("two",),
    }
)  # fmt: skip
"""Letters and marks only, as `letters_of` gives them. Words that sound alike stand here too: text cannot tell them."""
