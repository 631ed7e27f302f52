"""The detail at 1:20: the ground around the face, with floor runs and bearings."""

import numpy as np

from thirdstop.staging.staging import Staging
from thirdstop.typed import Array


def detail_frame(staging: Staging) -> Array:
    """Corners of the ground that the detail shows, (4, 3) metres."""
    x0, x1, y0, y1 = -1.0, 1.0, -1.2, 0.5
    room = staging.room
    x0, x1 = max(x0, room.left_m), min(x1, room.right_m)
    y0, y1 = max(y0, room.front_m), min(y1, room.back_m)
    return np.array([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (x0, y1, 0)], dtype=float)
