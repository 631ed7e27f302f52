"""Array aliases of the exposure engine beside those of `typed`."""

from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from thirdstop.typed import Array

Index: TypeAlias = NDArray[np.signedinteger[Any]]
"""Whole numbers that index something; the docstring says what."""

Single: TypeAlias = NDArray[np.float32]
"""An array in single precision, for what is large; the docstring says its shape and unit."""

Floats = TypeVar("Floats", Array, Single)
"""One precision or the other, the same throughout."""


def raise_to(least: float, array: Floats) -> None:
    """Raise what is less than that, in place: against a row of that number, which numpy compares three times
    as quickly as one number.
    """
    np.maximum(array, np.full(array.shape[-1:], least, dtype=array.dtype), out=array)
