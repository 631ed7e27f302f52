"""Shared array aliases."""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Vec: TypeAlias = NDArray[np.float64]
"""A point or direction, shape (3,), metres where it is a place."""

Array: TypeAlias = NDArray[np.float64]
"""Any float array; the docstring says its shape and unit."""

Indices: TypeAlias = NDArray[np.intp]
"""Places in another array, shape (n,)."""

Mask: TypeAlias = NDArray[np.bool_]
"""Any boolean array; the docstring says its shape."""
