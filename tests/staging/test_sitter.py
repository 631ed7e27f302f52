import numpy as np
import pytest

from staging.books import staged
from thirdstop.staging.measures import BUILDS
from thirdstop.staging.staging import Staging
from thirdstop.typed import Vec


def _point(staging: Staging, name: str) -> tuple[Vec, Vec]:
    point = next(p for p in staging.scene.points if p.name == name)
    return point.place_m, point.direction


@pytest.mark.parametrize(
    ("build", "standing_eye_m", "vertex_to_eye_m"), [("woman", 1.5196, 0.1089), ("man", 1.6424, 0.1138)]
)
def test_derived_body_heights(build: str, standing_eye_m: float, vertex_to_eye_m: float) -> None:
    """Stature − sitting height + sitting eye height, and crown to eye, follow from ANSUR II means.

    Source: ANSUR II (2012), NATICK/TR-15/007, means of the public files, rounded to 0.1 mm.
    """
    assert BUILDS[build].eye_standing_m == pytest.approx(standing_eye_m, abs=2e-4)
    assert BUILDS[build].vertex_to_eye_m == pytest.approx(vertex_to_eye_m, abs=2e-4)


@pytest.mark.parametrize("head", ["0 deg", "35 deg camera-left", "60 deg camera-right"])
def test_the_nose_stays_over_the_mark_however_the_head_turns(head: str) -> None:
    """M is the floor point under the nose tip, and the pupils are at the stated height."""
    staging = staged(
        "attic-triangle",
        ("body: 30 deg camera-left", f"body: 30 deg camera-left\n  head: {head}"),
        ("target: {ratio: 5:1, within: 1/3 stop}", "target: {}"),
    )
    sitter = staging.sitters[0]

    np.testing.assert_allclose([0, 0], sitter.nose_m[:2], atol=1e-12)
    np.testing.assert_allclose(1.22, sitter.eyes_m[:, 2], atol=1e-12)


def test_cheeks_look_level_at_sixty_degrees_to_either_side() -> None:
    """A cheek's direction is horizontal, 60° from the nose line; the sitter's left is camera-right."""
    staging = staged("borrowed-window")
    place, direction = _point(staging, "left cheek")

    np.testing.assert_allclose([np.sin(np.pi / 3), -0.5, 0.0], direction, atol=1e-12)
    assert place[0] > 0


def test_measuring_points_turn_with_the_head() -> None:
    """With the head turned by 30°, a cheek's place about the head's middle turns by 30° as well."""
    straight = staged("borrowed-window")
    turned = staged(
        "borrowed-window",
        ("body: 20 deg", "head: 30 deg camera-right\n  body: 20 deg"),
        ("target: {ratio: 4:1, within: 1/3 stop}", "target: {}"),
    )
    a = _point(straight, "left cheek")[0] - straight.sitters[0].head_centre_m
    b = _point(turned, "left cheek")[0] - turned.sitters[0].head_centre_m
    c, s = np.cos(np.radians(30)), np.sin(np.radians(30))

    # 30° to camera-right takes −y toward +x
    np.testing.assert_allclose([c * a[0] - s * a[1], s * a[0] + c * a[1], a[2]], b, atol=1e-12)


def test_receptors_are_three_centimetres_off_the_skin() -> None:
    """A cheek receptor lies 3 cm from the head's ellipsoid along its own direction."""
    staging = staged("borrowed-window")
    head = next(solid for solid in staging.scene.solids if solid.name == "head")
    place, direction = _point(staging, "right cheek")
    inside = head.axes.T @ (place - 0.03 * direction - head.centre_m) / head.semi_axes_m

    assert np.linalg.norm(inside) == pytest.approx(1.0)


def test_a_brim_is_where_the_recipe_says() -> None:
    """The brim's front edge stands 5 cm over the pupils and 7 cm out from the forehead below it."""
    staging = staged("under-the-brim")
    brim = next(panel for panel in staging.scene.panels if panel.role == "brim")
    head = next(solid for solid in staging.scene.solids if solid.name == "head")
    z = brim.centre_m[2] - head.centre_m[2]
    forehead_y = head.centre_m[1] - head.semi_axes_m[1] * np.sqrt(1 - (z / head.semi_axes_m[2]) ** 2)
    front_y = brim.centre_m[1] - np.linalg.norm(brim.half_v_m)

    assert brim.centre_m[2] - 1.22 == pytest.approx(0.05)
    assert forehead_y - front_y == pytest.approx(0.07)


def test_a_further_sitter_has_a_mark_of_their_own() -> None:
    """The second of two people sits 52 cm to camera-left, with measuring points of their own."""
    staging = staged("double-act")

    np.testing.assert_allclose([-0.52, 0.0, 0.0], staging.sitters[1].mark_m, atol=1e-12)
    assert _point(staging, "far one left cheek")[0][0] < -0.3
