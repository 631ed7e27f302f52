"""Which findings of a calibration still hold: those whose values stand as they were found."""

from thirdstop.book.found import FoundModel
from thirdstop.book.quantities import Share
from thirdstop.book.studio import Studio

ROOM_SURFACES = ("left wall", "right wall", "back wall", "front wall", "floor", "ceiling")
FLAT, DOME = "the flat receptor", "the dome"


def holding(studio: Studio) -> list[tuple[int, FoundModel]]:
    """Place in the calibration's list and finding, of those that hold: no wall that was painted since."""
    if studio.calibration is None:
        return []
    now = values_now(studio)
    return [(k, one) for k, one in enumerate(studio.calibration.found) if now.get(one.of) == one.value]


def values_now(studio: Studio) -> dict[str, str]:
    """What a calibration may have found, by its name, as the studio file has it now."""
    surfaces = studio.room.surfaces
    shares = {name: getattr(surfaces, name.replace(" ", "_")) for name in ROOM_SURFACES}
    shares |= {sheet.name: sheet.reflectance for sheet in studio.backdrops}
    for own in studio.surfaces:
        shares[own.name] = own.reflectance
        shares[f"roughness of {own.name}"] = own.roughness
        shares[f"what {own.name} passes"] = own.transmittance
    now = {name: f"{share.value:g}" for name, share in shares.items() if isinstance(share, Share)}
    for lamp in studio.lamps:
        now |= {f"{lamp.name} with {one.shaper}": str(one.guide_number) for one in lamp.calibrated}
    now |= {f"half-angle of {s.name}": str(s.half_angle) for s in studio.shapers if s.half_angle}
    now |= {f"cut-off of {grid.name}": str(grid.cutoff) for grid in studio.grids}
    now |= {f"loss of {grid.name}": str(grid.loss) for grid in studio.grids}
    return now | {FLAT: str(studio.meter.flat_constant), DOME: str(studio.meter.dome_constant)}
