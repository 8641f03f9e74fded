"""One person's correction of the phone layers, and the layers as they then hear. `own_voice` learns it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.phones import PhoneEar

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """Of one ear: what is added to the weights (units, 40) and biases (40,) of its last layer."""

    weight: Floats
    bias: Floats


def corrected(ear: PhoneEar, correction: Correction) -> PhoneEar:
    """The ear as it hears this person."""
    return replace(
        ear,
        weights=(*ear.weights[:-1], ear.weights[-1] + correction.weight),
        biases=(*ear.biases[:-1], ear.biases[-1] + correction.bias),
    )
