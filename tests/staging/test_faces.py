import numpy as np
import pytest

from thirdstop.staging.faces import lean_of, make_face, roll_of, swing_of
from thirdstop.staging.vectors import direction_at, vec


@pytest.mark.parametrize("bearing_deg", [0, 35, -120, 180])
@pytest.mark.parametrize("elevation_deg", [-40, 0, 25, 80])
def test_a_face_looks_where_it_is_told_with_level_edges(bearing_deg: float, elevation_deg: float) -> None:
    """U × v is the normal asked for, u is level, the half-edges have their lengths."""
    normal = direction_at(bearing_deg, elevation_deg)
    face = make_face(vec(0, 0, 1), normal, 0.6, 0.45)

    np.testing.assert_allclose(normal, face.normal, atol=1e-12)
    assert face.half_u_m[2] == pytest.approx(0.0, abs=1e-12)
    assert np.linalg.norm(face.half_u_m) == pytest.approx(0.6)
    assert np.linalg.norm(face.half_v_m) == pytest.approx(0.45)


def test_lean_and_swing() -> None:
    """A lap card that looks up at 60° and toward camera-left leans 60° up and swings −30°."""
    normal = direction_at(-30.0, 60.0)

    lean_deg, way = lean_of(normal)

    assert (round(lean_deg, 9), way) == (60.0, "up")
    assert swing_of(normal) == pytest.approx(-30.0)


def test_roll_is_clockwise_as_seen_from_in_front() -> None:
    """Seen from in front, facing the camera, the right end of a level edge goes down with a clockwise roll.

    The face looks at the camera (−y), so from in front camera-right is at the right hand.
    """
    face = make_face(vec(0, 0, 1), vec(0, -1, 0), 1.0, 1.0, roll_deg=30.0)

    assert face.half_u_m[2] == pytest.approx(-0.5)
    assert roll_of(face) == pytest.approx(30.0)


def test_a_face_straight_up_keeps_its_level_edge_across() -> None:
    """Looking straight up, level edges lie across the room, and u × v still points up."""
    face = make_face(vec(0, 0, 0.8), vec(0, 0, 1), 0.45, 0.3)

    np.testing.assert_allclose([0, 0, 1], face.normal, atol=1e-12)
    np.testing.assert_allclose([0.45, 0, 0], np.abs(face.half_u_m), atol=1e-12)
