import pytest

from staging.books import staged


@pytest.mark.parametrize(
    ("lens_mm", "object_mm", "field_mm"),
    [(50, 3000, (1416.0, 2124.0)), (85, 2000, (540.7059, 811.0588)), (105, 2500, (547.4286, 821.1429))],
)
def test_field_at_the_sitter(lens_mm: int, object_mm: int, field_mm: tuple[float, float]) -> None:
    """The field of 36 × 24 mm held upright equals sensor / m with m = f / (u − f), u from the lens.

    Source: the thin lens equation; the values are its worked figures to 0.1 µm of field.
    """
    # focal plane to nose is u + v, v = f u / (u − f)
    distance_mm = object_mm + lens_mm * object_mm / (object_mm - lens_mm)
    staging = staged(
        "borrowed-window",
        ("back_wall: 1.5 m", "back_wall: 1.3 m"),
        ("distance: 1.2 m", "distance: 1 m"),
        (
            "lens: 85 mm, distance: 2 m, height: 1.15 m",
            f"lens: {lens_mm} mm, distance: {distance_mm:.6f} mm, height: 1.178 m",
        ),
    )
    camera = staging.camera

    assert 2 * camera.tan_half_across * object_mm == pytest.approx(field_mm[0], abs=0.01)
    assert 2 * camera.tan_half_upright * object_mm == pytest.approx(field_mm[1], abs=0.01)


def test_the_camera_is_its_distance_from_the_nose() -> None:
    """From the focal-plane mark to the nose, whatever the height."""
    staging = staged("borrowed-window", ("height: 1.15 m, framing", "height: 1.5 m, framing"))
    gap = staging.camera.focal_plane_m - staging.sitters[0].nose_m

    assert float((gap**2).sum()) ** 0.5 == pytest.approx(2.0)
