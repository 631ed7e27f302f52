import numpy as np
import pytest

from thirdstop.staging.vectors import bearing_direction, bearing_of, direction_at, elevation_of, unit, vec


@pytest.mark.parametrize(
    ("bearing_deg", "toward"), [(0, (0, -1)), (90, (1, 0)), (-90, (-1, 0)), (180, (0, 1))]
)
def test_bearings_count_from_the_camera_to_camera_right(
    bearing_deg: float, toward: tuple[float, float]
) -> None:
    """0° looks toward the camera (−y), +90° to camera-right (+x)."""
    np.testing.assert_allclose([*toward, 0.0], bearing_direction(bearing_deg), atol=1e-15)


def test_bearing_and_elevation_come_back() -> None:
    """A direction made from bearing and elevation gives both back."""
    direction = direction_at(-37.0, 21.0)

    assert bearing_of(direction) == pytest.approx(-37.0)
    assert elevation_of(direction) == pytest.approx(21.0)


def test_no_direction_without_length() -> None:
    """A zero vector has no direction."""
    with pytest.raises(ValueError, match="needs a length"):
        unit(vec(0, 0, 0))
