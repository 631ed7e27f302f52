"""Direct light against closed forms."""

import math

import numpy as np
import pytest

from thirdstop.exposure.flash import direct_exposure
from thirdstop.staging.materials import Matte
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Emitter, Lambertian, Outline, Panel


def face(outline: Outline, half_m: float, height_m: float) -> Emitter:
    """A Lambertian face of unit luminance that looks straight down from above the origin."""
    centre = np.array([0.0, 0.0, height_m])
    u, v = np.array([half_m, 0.0, 0.0]), np.array([0.0, -half_m, 0.0])
    return Emitter("lamp", centre, u, v, outline, Lambertian(), 1.0)


def element(x_m: float = 0.0, tilt_deg: float = 0.0) -> MeasuringPoint:
    """A flat receptor on the floor, tilted from straight up."""
    tilt = math.radians(tilt_deg)
    direction = np.array([math.sin(tilt), 0.0, math.cos(tilt)])
    return MeasuringPoint("point", np.array([x_m, 0.0, 0.0]), direction, "flat")


@pytest.mark.parametrize(("distance_m", "expected"), [(0.5, 0.554126424), (1, 0.239456470), (5, 0.012564972)])
def test_centred_square(distance_m: float, expected: float) -> None:
    """A unit square over a facing element is four times Howell's B-3."""
    assert direct_exposure(face("rectangle", 0.5, distance_m), element()) == pytest.approx(
        math.pi * expected, rel=1e-6
    )


@pytest.mark.parametrize(
    ("tilt_deg", "expected"),
    [(30, 0.173205081), (60, 0.1), (75, 0.054608114), (90, 0.020259663)],
)
def test_tilted_disc(tilt_deg: float, expected: float) -> None:
    """An element below a disc (h = 1, r = 0.5), tilted past the horizon, follows Howell's B-13."""
    assert direct_exposure(face("ellipse", 0.5, 1.0), element(tilt_deg=tilt_deg)) == pytest.approx(
        math.pi * expected, rel=1e-6
    )


def test_flag_over_half_plane() -> None:
    """A half-plane at half height from x = 0.1 leaves 0.051927314 of the square's 0.073477635."""
    flag = Panel(
        "flag",
        "blocker",
        np.array([5.1, 0, 1]),
        np.array([5.0, 0, 0]),
        np.array([0, 5.0, 0]),
        Matte(0),
        Matte(0),
    )
    lamp = face("rectangle", 0.5, 2.0)
    stops = math.log2(direct_exposure(lamp, element(), [flag]) / direct_exposure(lamp, element()))
    # By samples over the face: a thousandth of a stop is what they are worth here.
    assert stops == pytest.approx(-0.500812, abs=1e-3)
