"""A mean that runs along a course.

The arithmetic of `scipy.ndimage.uniform_filter1d` with its ends held, which the tests hold it against; importing that
library takes an eighth of a second that listening would begin later.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray


def running_mean(values: NDArray[Any], width: int) -> NDArray[Any]:
    """The mean of each `width` rows around each row of `values` (n, ...), of the same shape and type.

    Beyond its ends the course goes on as its first and last row. `width`: rows, at least 1.
    """
    before = width // 2
    ends = [(before, width - 1 - before), *((0, 0) for _ in range(values.ndim - 1))]
    held = np.pad(values, ends, mode="edge")
    sums = np.cumsum(held, axis=0, dtype=np.float64)
    sums[width:] -= sums[:-width].copy()
    means: NDArray[Any] = (sums[width - 1 :] / width).astype(values.dtype)
    return means
