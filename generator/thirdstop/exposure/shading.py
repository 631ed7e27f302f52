"""Which places a flat face may hide a lamp from: so that only those are lit anew when it is put up."""

import numpy as np

from thirdstop.exposure.emission import rectangle_m
from thirdstop.exposure.sight import Blockers, Sight
from thirdstop.staging.shapes import Emitter
from thirdstop.typed import Array, Mask

_MARGIN = 1e-4
"""Half-widths by which a face is taken to be larger than it is."""


def may_be_shaded(blockers: Blockers, first: int, emitter: Emitter, seen: Sight) -> Mask:
    """Places from which flat faces, from the `first` on, may hide some of a lamp's face, shape (n,).

    Sure for those that are left out: what crosses a face's plane on the way to any place of the lamp's
    rectangle lies within the crossings to its corners.
    """
    corners = rectangle_m(emitter)
    found = np.zeros(len(seen.lost), dtype=bool)
    for k in range(first, len(blockers.flats)):
        planes = blockers.planes[:, k]
        lamp = planes[:, :3] @ corners.T + planes[:, 3:]
        places = seen.flats[:, k].astype(float)
        for sign in (1.0, -1.0):
            rows = np.flatnonzero(sign * places[0] > 0)
            beyond = _beyond(lamp, -sign)
            if len(rows) and beyond.shape[1]:
                found[rows] |= _meets(places[:, rows], beyond)
    return found


def _beyond(polygon: Array, sign: float) -> Array:
    """The part of a polygon, (3, v) of height, across and along, where sign × height is at least 0."""
    height = sign * polygon[0]
    following = np.roll(polygon, -1, axis=1)
    cut = height * np.roll(height, -1) < 0
    share = height[cut] / (height[cut] - np.roll(height, -1)[cut])
    crossing = polygon[:, cut] + share * (following[:, cut] - polygon[:, cut])
    crossing[0] = 0.0
    return np.concatenate([polygon[:, height >= 0], crossing], axis=1)


def _meets(places: Array, corners: Array) -> Mask:
    """Whether the crossings from each place (3, n) to corners (3, v) span some of the face, shape (n,)."""
    mine, theirs = np.abs(places[0]), np.abs(corners[0])[:, None]
    whole = np.maximum(mine + theirs, 1e-12)
    meets = np.ones(len(mine), dtype=bool)
    for axis in (1, 2):
        crossing = (places[axis] * theirs + corners[axis][:, None] * mine) / whole
        meets &= (crossing.min(axis=0) < 1.0 + _MARGIN) & (crossing.max(axis=0) > -1.0 - _MARGIN)
    return meets
