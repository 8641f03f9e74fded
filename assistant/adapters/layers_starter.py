"""The trained layers of the ear for the starter, as they come with the program."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from assistant.cranking.kinds import KindLayers
from assistant.cranking.layers import StarterLayers
from assistant.errors import SetupError

LAYERS = Path(__file__).with_name("starter.npz")
KINDS = Path(__file__).with_name("starter_kinds.npz")


def starter_layers(path: Path = LAYERS) -> StarterLayers:
    """The layers in `path`, or those that come with the program. Raises SetupError where they cannot be read."""
    try:
        with np.load(KINDS) as held:
            kinds = KindLayers(**{name: held[name].astype(np.float32) for name in held.files})
        with np.load(path) as held:
            return StarterLayers(**{name: held[name].astype(np.float32) for name in held.files}, kinds=kinds)
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise SetupError(
            f"The ear for the starter cannot be read from '{path}': {error}. Install hoodside again."
        ) from error
