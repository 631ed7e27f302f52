"""What patches send back of the light that arrives. Axes: p patches, e emitters."""

from dataclasses import dataclass

import numpy as np

from thirdstop.exposure.arrays import Index
from thirdstop.exposure.mesh import Patches
from thirdstop.exposure.sides import Sides
from thirdstop.staging.shapes import Ellipsoid
from thirdstop.typed import Array


@dataclass(frozen=True, eq=False)
class Returns:
    """Exitance for illuminance, by where the light comes from; all but `twin` are shares, shape (p,)."""

    direct: Array
    """Of the lamps' light, without a metallised lobe, which is computed by itself."""
    indirect: Array
    """Of all other light, where a lobe counts as matte."""
    through: Array
    """Of light on the other side of the sheet."""
    twin: Index
    """Patch on the other side, or the patch itself."""

    def exitance(self, direct_lx_s: Array, other_lx_s: Array) -> Array:
        """Exitance of the patches, shape (e, p), for direct and all other illuminance (e, p); without a
        lobe's share of direct light.
        """
        through = self.through * (direct_lx_s + other_lx_s)[:, self.twin]
        return np.asarray(self.direct * direct_lx_s + self.indirect * other_lx_s + through)


def returns_of(patches: Patches, sides: Sides, solids: tuple[Ellipsoid, ...]) -> Returns:
    """What the materials of sides and solids make of light on these patches."""
    finishes = [side.finish for side in sides.each]
    flat, body = patches.side >= 0, patches.solid >= 0
    shares = np.zeros((3, len(patches.side)))
    of_sides = np.array([(f.direct, f.indirect, f.through) for f in finishes]).reshape(-1, 3)
    shares[:, flat] = of_sides[patches.side[flat]].T
    shares[:2, body] = np.array([s.material.reflectance for s in solids])[patches.solid[body]]
    return Returns(shares[0], shares[1], shares[2], patches.twin)
