"""What a surface does with light: plain values, no behaviour.

Every value carries whether somebody measured it; the pages mark the others 'assumed'.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

Provenance: TypeAlias = Literal["measured", "published", "assumed"]


@dataclass(frozen=True)
class Matte:
    """A Lambertian reflector: `reflectance` (0 to 1) of the light comes back, spread by the cosine law."""

    reflectance: float
    provenance: Provenance = "assumed"


@dataclass(frozen=True)
class Metallised:
    """A metallised fabric: a microfacet lobe plus a matte share.

    `reflectance` is the total share of light returned at normal incidence, lobe and matte together;
    `matte_share` (0 to 1) is the part of it that is Lambertian; `roughness` is GGX alpha.
    `shift_mired` is what the returned light gains in warmth (gold), 0 for silver.
    """

    reflectance: float
    roughness: float
    matte_share: float
    shift_mired: float = 0.0
    provenance: Provenance = "assumed"


@dataclass(frozen=True)
class Translucent:
    """A diffusing sheet: `transmittance` passes through spread by the cosine law, `reflectance` comes back;
    what is left is absorbed.
    """

    transmittance: float
    reflectance: float
    provenance: Provenance = "assumed"


Material: TypeAlias = Matte | Metallised | Translucent
