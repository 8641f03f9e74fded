"""What a step listens for at which tests may be told that nobody asked for."""

from assistant.language.commands import ALWAYS
from assistant.language.dangers import FUEL_LEAK, FUEL_SMELL, WRONG_FUEL
from assistant.language.model import Expected

TOLD = Expected(
    controls=ALWAYS,
    questions=True,
    supposed={"looked-over=leak": (FUEL_LEAK,), "looked-over=smell": (FUEL_SMELL,), "fuel-level=wrong": (WRONG_FUEL,)},
    acknowledge=("area is clear",),
)
