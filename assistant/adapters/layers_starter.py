"""The trained layers of the ear for the starter, as they come with the program."""

from __future__ import annotations

from contextlib import AbstractContextManager
from functools import cache
from pathlib import Path

import numpy as np
from threadpoolctl import ThreadpoolController

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
            weights = {name: held[name].astype(np.float32) for name in held.files}
            return StarterLayers(**weights, kinds=kinds, one_core=one_core)
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise SetupError(
            f"The ear for the starter cannot be read from '{path}': {error}. Install hoodside again."
        ) from error


def one_core() -> AbstractContextManager[object]:
    """While it lasts, array sums run on one core. Source: on two cores at load 2 the ear for the starter then takes 3.4
    to 4.5 % of a core, in place of 12.9."""
    limited: AbstractContextManager[object] = _pools().limit(limits=1, user_api="blas")
    return limited


@cache
def _pools() -> ThreadpoolController:
    return ThreadpoolController()
