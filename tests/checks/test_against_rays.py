"""Frame, catchlights and glare against rays that are followed one by one, by code that shares nothing.

A pinhole that projects places onto a sensor, and a sphere that mirrors rays, written out here.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import catchlights, glare, in_frame
from thirdstop.checks.view import outside_by_m, to_view
from thirdstop.staging.staging import CameraView, Staging
from thirdstop.staging.vectors import direction_at, unit, vec
from thirdstop.typed import Array, Mask, Vec

# The frame


def _on_sensor_mm(view: CameraView, places_m: Array) -> Array:
    """Where a pinhole at the lens draws places, mm from the sensor's middle, not inverted, shape (n, 2).

    By similar triangles: image distance times the offset over the depth.
    """
    rays = places_m - (view.focal_plane_m + view.image_distance_m * view.forward)
    scale = 1000 * view.image_distance_m / (rays @ view.forward)
    return np.stack([scale * (rays @ view.right), scale * (rays @ view.up)], axis=1)


def _lattice(centre_m: Vec, half_u_m: Vec, half_v_m: Vec, count: int = 41) -> Array:
    steps = np.linspace(-1, 1, count)
    return np.array([centre_m + s * half_u_m + t * half_v_m for s in steps for t in steps])


def _cards(count: int) -> list[samples.Thing]:
    """Cards strewn about the frame's edges, turned every way; always the same ones."""
    chance = np.random.default_rng(20)
    found = []
    for _ in range(count):
        centre = vec(*chance.uniform((-1.1, -0.9, 0.4), (1.1, 0.9, 2.0)))
        normal = unit(chance.normal(size=3))
        wide, high = chance.uniform(0.2, 0.9, size=2)
        found.append(samples.panel(centre_m=centre, normal=normal, width_m=wide, height_m=high))
    return found


@pytest.mark.parametrize("view", [samples.camera(), samples.camera(2.4, 1.0, 0.05, 0.036, 0.024)])
def test_in_the_picture_is_what_lands_on_the_sensor(view: CameraView) -> None:
    """For 40 cards: some place of the card lands on the sensor, or the check says it is out."""
    shows = []
    for card in _cards(40):
        staging = samples.staging(samples.lamp(centre_m=vec(0, -2.6, 2.2)), card, view=view, sheets=[])
        item = staging.items[1]
        drawn = _on_sensor_mm(view, _lattice(item.centre_m, item.half_u_m, item.half_v_m))
        half = np.array([view.sensor_across_m, view.sensor_upright_m]) * 500
        lands = bool((np.abs(drawn) < half).all(axis=1).any())
        # nothing hides it: there is no body and no sheet
        assert (in_frame.frame_margin_m(staging, item) < 0) == lands
        shows.append(lands)
    assert 8 < sum(shows) < 32  # both kinds are there


def test_distance_from_the_frame_is_that_of_the_nearest_place() -> None:
    """The least growth of the picture that shows a card, against all its places, at their own depths."""
    view = samples.camera()
    for card in _cards(40):
        places = _lattice(card.item.centre_m, card.item.half_u_m, card.item.half_v_m, 61)
        corners = card.item.centre_m + np.array(
            [s * card.item.half_u_m + t * card.item.half_v_m for s, t in ((1, 1), (-1, 1), (-1, -1), (1, -1))]
        )
        depths = (places - view.lens_m) @ view.forward
        half = np.array([view.sensor_across_m, view.sensor_upright_m]) * 500
        beyond_mm = (np.abs(_on_sensor_mm(view, places)) - half).max(axis=1)
        nearest_m = float((beyond_mm / 1000 / view.image_distance_m * depths).min())
        assert outside_by_m(view, to_view(view, corners)) == pytest.approx(max(0.0, nearest_m), abs=0.012)


# Mirrors


def _mirrored(rays: Array, normals: Array) -> Array:
    """Each ray turned at its normal: the part along the normal changes sign."""
    return np.asarray(rays - 2 * (rays * normals).sum(axis=1)[:, None] * normals)


def _hits(starts_m: Array, rays: Array, thing: samples.Thing) -> Mask:
    """Which rays meet a thing's face (a rectangle, or else a disc or ellipse)."""
    item = thing.item
    far = ((item.centre_m - starts_m) @ item.normal) / (rays @ item.normal)
    offset = starts_m + far[:, None] * rays - item.centre_m
    u = offset @ item.half_u_m / float(np.dot(item.half_u_m, item.half_u_m))
    v = offset @ item.half_v_m / float(np.dot(item.half_v_m, item.half_v_m))
    inside = np.maximum(abs(u), abs(v)) <= 1 if item.outline == "rectangle" else u * u + v * v <= 1
    return np.asarray((far > 0) & inside)


@dataclass(frozen=True)
class _Image:
    """What a sphere shows of a face, in the picture's plane, mm from the pupil."""

    middle_mm: Array
    """Of the box about it."""
    size_mm: float
    shown: float


def _in_cornea(staging: Staging, thing: samples.Thing, eye: int) -> _Image:
    """Every twentieth of a millimetre of the cornea: whether its mirrored ray meets the face."""
    who, view = staging.sitters[0], staging.camera
    centre = who.eyes_m[eye] - 0.0048 * who.gaze
    steps = np.arange(-6.5, 6.51, 0.05) / 1000
    s, t = (grid.ravel() for grid in np.meshgrid(steps, steps))
    pupil = who.eyes_m[eye] - centre
    across, up = s + float(pupil @ view.right), t + float(pupil @ view.up)
    keep = across**2 + up**2 < 0.0078**2
    s, t, across, up = s[keep], t[keep], across[keep], up[keep]
    out = np.sqrt(0.0078**2 - across**2 - up**2)
    normals = (across[:, None] * view.right + up[:, None] * view.up - out[:, None] * view.forward) / 0.0078
    places = centre + 0.0078 * normals
    rays = places - view.lens_m
    rays = rays / np.linalg.norm(rays, axis=1)[:, None]
    hit = _hits(places, _mirrored(rays, normals), thing)
    x, y = 1000 * s[hit], 1000 * t[hit]
    open_eye = (np.hypot(x, y) <= 5.85) & (y <= 3.9) & (y >= -5.5)
    box = np.array([(x.min() + x.max()) / 2, (y.min() + y.max()) / 2])
    return _Image(box, float(max(np.ptp(x), np.ptp(y))), float(open_eye.mean()))


@pytest.mark.parametrize(
    ("bearing", "elevation", "size_m", "outline"),
    [
        (40, 30, 0.6, "ellipse"),
        (-20, 50, 0.9, "ellipse"),
        (10, -35, 0.5, "rectangle"),
        (70, 10, 0.8, "rectangle"),
    ],
)
@pytest.mark.parametrize("eye", [0, 1])
def test_catchlight_is_what_a_sphere_shows(
    bearing: float, elevation: float, size_m: float, outline: str, eye: int
) -> None:
    """Place, extent and the share that lids and iris leave, to a tenth of a millimetre."""
    where = vec(0.0, 0.02, 1.22)
    centre = where + 1.1 * direction_at(bearing, elevation)
    thing = samples.lamp(
        centre_m=centre, normal=unit(where - centre), width_m=size_m, height_m=size_m,
        outline="ellipse" if outline == "ellipse" else "rectangle",
    )  # fmt: skip
    staging = samples.staging(thing, view=samples.camera(height_m=1.22))
    found = catchlights.catchlights(staging, staging.sitters[0], eye)[0]
    brute = _in_cornea(staging, thing, eye)
    outline_mm = 1000 * found.outline_m
    middle = (outline_mm.max(axis=0) + outline_mm.min(axis=0)) / 2
    assert middle == pytest.approx(brute.middle_mm, abs=0.1)
    assert found.size_m * 1000 == pytest.approx(brute.size_mm, abs=0.1)
    assert found.shown == pytest.approx(brute.shown, abs=0.03)


def _in_lens(staging: Staging, thing: samples.Thing, eye: int, radius_m: float) -> tuple[float, float]:
    """Share of a lens that shows the face, and the least angle from a mirrored ray to the face, degrees."""
    who, view = staging.sitters[0], staging.camera
    tilt = np.radians(who.glasses_tilt_deg)
    axis = np.cos(tilt) * who.forward - np.sin(tilt) * who.up
    top = np.cos(tilt) * who.up + np.sin(tilt) * who.forward
    middle = who.eyes_m[eye] + 0.016 * who.forward
    ball = middle - radius_m * axis
    steps = (np.arange(61) + 0.5) / 61 * 2 - 1
    # evenly over 50 × 36 mm, seen along the lens's axis
    s, t = (grid.ravel() for grid in np.meshgrid(0.025 * steps, 0.018 * steps))
    out = np.sqrt(radius_m**2 - s**2 - t**2)
    places = ball + s[:, None] * who.sitter_right + t[:, None] * top + out[:, None] * axis
    normals = (places - ball) / radius_m
    rays = places - view.lens_m
    rays = rays / np.linalg.norm(rays, axis=1)[:, None]
    outward = _mirrored(rays, normals)
    hit = _hits(places, outward, thing)
    face = _lattice(thing.item.centre_m, thing.item.half_u_m, thing.item.half_v_m, 21)
    nearest = 180.0
    for place, ray in zip(places[::7], outward[::7], strict=True):
        toward = face - place
        cosine = toward @ ray / np.linalg.norm(toward, axis=1)
        nearest = min(nearest, float(np.degrees(np.arccos(cosine.max()))))
    return float(hit.mean()), nearest


@pytest.mark.parametrize(("dioptre", "bearing", "elevation"), [(4.0, 15, -12), (6.0, 30, 0), (2.0, 40, 30)])
def test_glare_is_what_a_sphere_shows(dioptre: float, bearing: float, elevation: float) -> None:
    """Share of the lens to 3 %, the margin to half a degree, for rectangles in both lenses."""
    where = vec(0.0, 0.02, 1.22)
    centre = where + 1.2 * direction_at(bearing, elevation)
    thing = samples.lamp(
        centre_m=centre, normal=unit(where - centre), width_m=0.4, height_m=0.3, outline="rectangle"
    )
    who = samples.sitter(glasses="glasses", dioptre=dioptre)
    staging = samples.staging(thing, sitters=[who], view=samples.camera(height_m=1.22))
    found = glare.reflections(staging, who)
    assert [one.eye for one in found] == ["right eye", "left eye"]
    for eye, one in enumerate(found):
        share, nearest = _in_lens(staging, thing, eye, 0.530 / dioptre)
        assert one.share == pytest.approx(share, abs=0.03)
        if one.share == 0:
            assert one.margin_deg == pytest.approx(nearest, abs=0.5)


def test_rays_tell_a_tilt_that_is_wrong() -> None:
    """The comparison can fail: with the lens's tilt the other way the shares differ."""
    where = vec(0.0, 0.02, 1.22)
    centre = where + 1.2 * direction_at(0.0, -16.0)
    thing = samples.lamp(
        centre_m=centre, normal=unit(where - centre), width_m=0.3, height_m=0.3, outline="rectangle"
    )
    who = samples.sitter(glasses="glasses", dioptre=4.0)
    staging = samples.staging(thing, sitters=[who], view=samples.camera(height_m=1.22))
    wrong = replace(staging, sitters=(replace(who, glasses_tilt_deg=-8.0),))
    found = glare.reflections(staging, who)[0].share
    assert found == pytest.approx(_in_lens(staging, thing, 0, 0.1325)[0], abs=0.03)
    assert abs(found - _in_lens(wrong, thing, 0, 0.1325)[0]) > 0.05
