"""What a fault code stands for, in our own words.

Source: how a code is made (letter, second and third place) and what the common ones mean is that of SAE J2012,
from memory. A code of the maker's own (second place 1; 2 too for B, C and U; P30 to P33) means what the maker says; of
every other the maker's information holds too, for it tells what sets the code on this car.
"""

from __future__ import annotations

import re

_CODE = re.compile(r"[PBCU][0-3][0-9A-F]{3}")

_PARTS = {"P": "powertrain", "B": "body", "C": "chassis", "U": "network"}

_AREAS = {
    "0": "fuel and air, added emission controls",
    "1": "fuel and air",
    "2": "fuel and air, injectors",
    "3": "ignition and misfire",
    "4": "added emission controls",
    "5": "speed, idle and other inputs",
    "6": "control modules and their outputs",
    "7": "transmission",
    "8": "transmission",
    "9": "transmission",
    "A": "hybrid drive",
}
"""What the third place of a powertrain code tells."""

_MEANINGS = {
    "P0016": "crankshaft and camshaft do not agree, bank 1",
    "P0087": "fuel rail pressure too low",
    "P0101": "air flow meter: out of range",
    "P0102": "air flow meter: signal low",
    "P0103": "air flow meter: signal high",
    "P0106": "intake pressure sensor: out of range",
    "P0107": "intake pressure sensor: signal low",
    "P0108": "intake pressure sensor: signal high",
    "P0113": "intake air temperature sensor: signal high",
    "P0116": "coolant temperature sensor: out of range",
    "P0117": "coolant temperature sensor: signal low",
    "P0118": "coolant temperature sensor: signal high",
    "P0190": "fuel rail pressure sensor: circuit",
    "P0200": "injectors: circuit",
    "P0201": "injector of cylinder 1: circuit",
    "P0202": "injector of cylinder 2: circuit",
    "P0203": "injector of cylinder 3: circuit",
    "P0204": "injector of cylinder 4: circuit",
    "P0230": "fuel pump: control circuit",
    "P0231": "fuel pump: supply low",
    "P0232": "fuel pump: supply high",
    "P0300": "misfire on several cylinders",
    "P0320": "engine speed input: circuit",
    "P0335": "crankshaft sensor: circuit",
    "P0336": "crankshaft sensor: out of range",
    "P0337": "crankshaft sensor: signal low",
    "P0338": "crankshaft sensor: signal high",
    "P0340": "camshaft sensor: circuit",
    "P0341": "camshaft sensor: out of range",
    "P0350": "ignition coils: control circuit",
    "P0351": "ignition coil A: control circuit",
    "P0352": "ignition coil B: control circuit",
    "P0353": "ignition coil C: control circuit",
    "P0354": "ignition coil D: control circuit",
    "P0513": "key of the immobiliser not right",
    "P0560": "system voltage: fault",
    "P0562": "system voltage low",
    "P0563": "system voltage high",
    "P0620": "generator: control circuit",
    "P0627": "fuel pump: control circuit open",
    "P0628": "fuel pump: control circuit low",
    "P0629": "fuel pump: control circuit high",
    "P0633": "key of the immobiliser not taught to the engine module",
    "P0685": "main relay: control circuit open",
    "P2300": "ignition coil A: control circuit low",
    "P2302": "ignition coil A: secondary circuit",
}


def meaning_of(code: str) -> str:
    """The code in a few words; where it is not known, what its making tells; empty for what is no code."""
    if not _CODE.fullmatch(code):
        return ""
    if code in _MEANINGS:
        return _MEANINGS[code]
    part = _PARTS[code[0]]
    if code[1] == "1" or (code[0] in "BCU" and code[1] == "2") or (code[:2] == "P3" and code[2] in "0123"):
        return f"{part}, the maker's own code: see the maker's information"
    area = f", {_AREAS[code[2]]}" if code[0] == "P" and code[2] in _AREAS else ""
    return f"{part}{area}: see the maker's information"


def say_meaning(code: str) -> str:
    """The meaning in spoken words, without the colons of print; empty for what is no code."""
    return meaning_of(code).replace(":", ",")
