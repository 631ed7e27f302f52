"""Body measures in metres.

Adults: ANSUR II (2012), Gordon et al., NATICK/TR-15/007, means over 1986 women and 4082 men, from the public
files: stature, sitting height, eye height sitting, head breadth, head length, menton to sellion, distance of
the pupils. Acromial height, bideltoid breadth and limb radii are of the same survey but from memory, rounded.
A child is assumed: about six years old, no survey was read.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Measures:
    """One build."""

    stature_m: float
    sitting_height_m: float
    eye_sitting_m: float
    head_breadth_m: float
    head_length_m: float
    face_m: float
    """Menton to sellion."""
    pupils_m: float
    acromion_m: float
    """Shoulder height, standing."""
    shoulders_m: float
    """Bideltoid breadth."""
    chest_depth_m: float
    hips_m: float
    limb: float
    """Limb radii as a share of a woman's."""

    @property
    def vertex_to_eye_m(self) -> float:
        """Crown to pupils."""
        return self.sitting_height_m - self.eye_sitting_m

    @property
    def eye_standing_m(self) -> float:
        """Floor to pupils, standing barefoot."""
        return self.stature_m - self.vertex_to_eye_m

    @property
    def acromion_below_eye_m(self) -> float:
        """Pupils down to the shoulders."""
        return self.eye_standing_m - self.acromion_m


BUILDS: dict[str, Measures] = {
    "woman": Measures(
        1.6285, 0.8566, 0.7477, 0.1478, 0.1898, 0.1131, 0.0617, 1.335, 0.450, 0.245, 0.375, 1.0
    ),
    "man": Measures(1.7562, 0.9183, 0.8045, 0.1543, 0.1995, 0.1226, 0.0640, 1.441, 0.510, 0.254, 0.365, 1.12),
    "child": Measures(1.150, 0.640, 0.535, 0.142, 0.178, 0.095, 0.052, 0.890, 0.290, 0.165, 0.215, 0.68),
}

NOSE_BELOW_EYE_M = 0.042
"""Nose tip under the pupils; assumed."""
NOSE_PROTRUDES_M = 0.020
"""Nose tip in front of the face; assumed, near ANSUR's subnasale figures from memory."""
SKIN_TO_RECEPTOR_M = 0.03
"""A receptor is held this far off the skin, house rule."""
