"""That an engine has a carburettor, and so neither injectors nor an engine computer, told anywhere in the words.

What lies in a carburettor or is sprayed through it tells nothing of how the engine is built. Plain English, our own
choice; no source.
"""

from __future__ import annotations

import re

from assistant.language.dangers import spelled_out, told_of

CARBURETTOR = "it has a carburettor"
"""The clause that it is told with, as after "I found"."""

FUEL_SYSTEM, HAS_CARBURETTOR = "fuel-system", "carburettor"
"""The test of a fault model that shows it, and its result."""

_CARB = r"(?:carb|carbs|carburett?or|carburett?ors)"
_KIND = r"(?:(?:old|twin|single|double|plain|simple|normal|good old|downdraft|sidedraft) )*"
_GOT = r"(?:is|has|is got|has got|got)"
_COMPUTER = r"(?:engine )?(?:computer|ecu|injectors|injection)"
_IT = r"(?:it|she|this|this one|this car|the (?:car|engine)|engine|that)"
_HAS = re.compile(
    rf"\b{_IT} (?:{_GOT}|runs on|is on|uses|comes with|still has) (?:just )?(?:a |an |the )?{_KIND}{_CARB}\b"
    rf"|\b(?:old|a|an) {_CARB} (?:car|engine|job|thing|one|model|motor)\b|\bcarburett?ed\b"
    rf"|\bwith (?:a |an |its )?{_KIND}{_CARB}\b"
    rf"|^(?:an? )?{_KIND}{_CARB}(?: (?:car|engine|fed))?$|\bruns on (?:a |twin )?{_CARB}\b"
)
_LACKS = re.compile(
    rf"\b(?:there is|{_IT} {_GOT}) no {_COMPUTER}\b(?! (?:pulse|click))"
    rf"|\b{_IT} (?:hasn't|has not|doesn't|does not|ain't) (?:got|have|has) (?:an? |any )?{_COMPUTER}\b"
    rf"|^no {_COMPUTER}(?: (?:on|in|here|at all|fitted)\b.*)?$"
)
_OTHERWISE = re.compile(
    rf"\b{_CARB} (?:clean\w*|with injectors)\b|\blooks like\b|\b(?:was|were|used to)\b"
    rf"|\b(?:not|no|without) (?:a |an )?{_CARB}\b|n't (?:got |have )?(?:a |an )?{_CARB}\b"
)


ELECTRIC_PUMP = ("the fuel pump is electric", "electric-pump")
MECHANICAL_PUMP = ("the fuel pump is mechanical", "no-electric-pump")
"""What is noted, and the word of `procedure.condition` that it makes so."""

_PUMP = r"(?: (?:fuel|petrol|gas|lift))? pump\b"
_ELECTRIC = re.compile(rf"\belectric(?:al)?{_PUMP}|\b(?:fuel |petrol |gas )?pump(?: is|'s) electric(?:al)?\b")
_MECHANICAL = re.compile(
    rf"\bmechanical{_PUMP}|\b(?:fuel |petrol |gas )?pump(?: is|'s) mechanical\b|\bno electric{_PUMP}"
)


def pump_told(words: str) -> tuple[str, str] | None:
    """What these words tell of how the fuel pump is driven: as noted, and what it makes so."""
    said = " ".join(spelled_out(re.sub(r"[^a-z' ]+", " ", words.lower()).split()))
    if _MECHANICAL.search(said):
        return MECHANICAL_PUMP
    return ELECTRIC_PUMP if told_of(said, _ELECTRIC) else None


def tells_a_carburettor(words: str) -> bool:
    """Whether these words say somewhere that it has a carburettor, or no computer and no injectors."""
    said = " ".join(spelled_out(re.sub(r"[^a-z' ]+", " ", words.lower()).split()))
    if _OTHERWISE.search(said):
        return False
    parts = (" ".join(spelled_out(part.split())) for part in re.split(r"[,.;:!?]+", words.lower()))
    return told_of(said, _HAS) or any(_LACKS.search(part) or _HAS.search(part) for part in (said, *parts))
