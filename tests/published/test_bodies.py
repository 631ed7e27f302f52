"""The sitter's solids against published body measurements."""

import numpy as np
import pytest

from staging.books import staged
from thirdstop.staging.measures import BUILDS
from thirdstop.staging.staging import Staging

# Means of ANSUR II (2012; Gordon et al., NATICK/TR-15/007), computed from the public files, metres: stature,
# sitting height, eye height above the seat, head breadth, head length, menton to sellion, between the pupils.
ANSUR_II = {
    "woman": (1.6285, 0.8566, 0.7477, 0.1478, 0.1898, 0.1131, 0.0617),
    "man": (1.7562, 0.9183, 0.8045, 0.1543, 0.1995, 0.1226, 0.0640),
}


@pytest.mark.parametrize("build", ANSUR_II)
def test_measures_are_the_survey_means(build: str) -> None:
    """Each build carries the survey's means, to the tenth of a millimetre that is published."""
    m = BUILDS[build]
    own = (m.stature_m, m.sitting_height_m, m.eye_sitting_m, m.head_breadth_m, m.head_length_m, m.face_m)

    assert (*own, m.pupils_m) == pytest.approx(ANSUR_II[build], abs=5e-5)


def seated(build: str) -> Staging:
    """The demo's everyday portrait with somebody of this build."""
    return staged("borrowed-window", ("pose: seated\n", f"pose: seated\n  build: {build}\n"))


@pytest.mark.parametrize("build", ANSUR_II)
def test_the_staged_head_has_the_measured_size(build: str) -> None:
    """Breadth, length and pupils of the staged head are the survey's; its top, under the hair, is where the
    sitting height less eye height puts it.
    """
    staging = seated(build)
    sitter = staging.sitters[0]
    head = next(solid for solid in staging.scene.solids if solid.name == "head")
    breadth, length, _ = 2 * head.semi_axes_m
    _, sitting_m, eye_m, breadth_m, length_m, _, pupils_m = ANSUR_II[build]

    assert (breadth, length) == pytest.approx((breadth_m, length_m), abs=1e-3)
    assert np.linalg.norm(sitter.eyes_m[0] - sitter.eyes_m[1]) == pytest.approx(pupils_m, abs=1e-4)
    top_m = float(head.centre_m[2] + head.semi_axes_m[2])
    assert top_m - sitter.eye_height_m == pytest.approx(sitting_m - eye_m, abs=2e-3)
