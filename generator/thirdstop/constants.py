"""Each physical or conventional constant once, grouped by how it is known, with its source."""

from typing import Literal, TypeAlias

Units: TypeAlias = Literal["metric", "imperial"]
"""What lengths are read in."""

# Conventional
CLICKS_PER_STOP = 3
"""A click of the trigger is a third of a stop (common practice, no source; hence the name)."""

METER_CONSTANT_FLAT = 250
"""Incident meter constant C of a flat receptor, lx·s; ISO 2720:1974 leaves it to the maker, 250 is usual."""

METER_CONSTANT_DOME = 340
"""Incident meter constant C of a dome, lx·s; ISO 2720:1974 leaves it to the maker, 330 to 340 is usual."""

MID_GREY_REFLECTANCE = 0.18
"""The photographic grey card (common practice; ISO 2720 does not define it)."""

# Measured
GRAVITY_M_S2 = 9.80665
"""Standard gravity, exact by convention: 3rd CGPM (1901)."""

METRES_PER_INCH = 0.0254
"""Exact: international yard and pound agreement (1959)."""

# House
NEAREST_PANEL_M = 0.03
"""A reading nearer to a panel than this is refused: the engine is not tested there."""
