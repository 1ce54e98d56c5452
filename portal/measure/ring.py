"""The neighbours of each row in a closed row of points or sides, the last before the first.

NumPy's own `roll` does the same for any shift and axis; it is several times slower, and an outline needs it a
score of times.
"""

import numpy as np

from portal.measure.sketch import Array


def following(rows: Array) -> Array:
    """The row after each."""
    return np.concatenate((rows[1:], rows[:1]))


def before(rows: Array) -> Array:
    """The row before each."""
    return np.concatenate((rows[-1:], rows[:-1]))
