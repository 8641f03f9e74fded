"""What may be said to the guide's own questions, and an example where an answer has no words of its own."""

from __future__ import annotations

REFITTED = ("it is put right", "it is back on", "it is back in place", "refitted")
LEFT_OFF = ("left off", "left as it is")

NO_TOOL = (
    "no tool for it", "missing tool", "no tool", "i have no tool", "not got one", "don't have one", "no meter",
    "i have no meter", "i don't have a meter", "don't have a meter", "haven't got a meter", "no gauge",
    "i have no gauge", "i don't have a gauge", "no scan tool", "i don't have the tool", "i don't have one",
)  # fmt: skip
NO_REACH = (
    "cannot reach it", "out of reach", "can't reach it", "can't get at it", "can't get to it", "no reading",
    "could not read it", "couldn't read it", "can't read it", "couldn't get a reading", "the meter shows nothing",
)  # fmt: skip
"""What gives no reading is left out for itself alone, as what is out of reach; the meter may well do elsewhere."""

TOO_LOUD = ("too loud here", "too noisy")
NOT_ON_CAR = ("not on this car", "this car has none")

NO_TEXT = frozenset({"understood", "yes understood", "i understand"})
"""Said out of habit where free words are asked: nothing to keep."""

CODE = "p zero three three five"
COMPLAINT = "it cranks but it will not start"
NOTE = "coolant is low"
REASON = "i have no tool for it"

RECHECK = "Run the recheck."
"""How the advice of a finding ends where a recheck is listened for."""
