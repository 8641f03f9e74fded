"""What a step listens for at which tests may be told that nobody asked for."""

from assistant.language.commands import ALWAYS, Control
from assistant.language.dangers import FUEL_LEAK, FUEL_SMELL, WRONG_FUEL
from assistant.language.model import TYPED, Expected, Heard
from assistant.language.understand import understand

TOLD = Expected(
    controls=ALWAYS,
    questions=True,
    supposed={"looked-over=leak": (FUEL_LEAK,), "looked-over=smell": (FUEL_SMELL,), "fuel-level=wrong": (WRONG_FUEL,)},
    acknowledge=("area is clear",),
)

PUMP = Expected(
    controls=frozenset(Control),
    results={"hum": ("pump hums",), "silent": ("pump is silent",), "no-tool": ("no reader here",)},
    answers={"silent": "[it's] (quiet | silent | dead)", "no-tool": "(i haven't got | no) reader"},
    questions=True,
    supposed={"spark-check=none": ("there is no spark",), "air-filter=clean": ("clean",)},
    places={"spark": ("spark check",), "supply": ("fuel supply", "fuel pressure"), "compression": ("compression",)},
)
"""A question about the pump, with all that may be said beside it."""


def typed(words: str, expected: Expected = PUMP) -> object:
    """What a typed line means."""
    return understand(Heard(words=words, confidence=1.0, engine=TYPED), expected)


def written(text: str) -> Heard:
    """What was written freely and fits no grammar."""
    return Heard(words=None, confidence=0.0, free_text=text)
