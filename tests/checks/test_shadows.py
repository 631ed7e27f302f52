"""Shadows on face and backdrop: similar triangles, a published view factor, and both sides of the limits."""

import math
from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import blocker_shadow, shadows, sitter_shadow
from thirdstop.checks.findings import Finding
from thirdstop.checks.sightlines import enters
from thirdstop.staging.shapes import Emitter, Lambertian, Panel
from thirdstop.staging.staging import Room, Staging
from thirdstop.staging.vectors import direction_at, unit, vec
from thirdstop.typed import Vec

UNIT_SQUARE = Emitter("key", vec(0, 0, 2), vec(0, 0.5, 0), vec(0.5, 0, 0), "rectangle", Lambertian(), 1.0)
"""Over an element at the origin that faces it: F = 4 × 0.0183694 = 0.073477635 (Howell, B-3)."""


def _half_plane(x_m: float) -> Panel:
    """At half the way, opaque from x on."""
    return Panel(
        "flag", "blocker", vec(x_m + 5, 0, 1), vec(5, 0, 0), vec(0, 5, 0), samples.GREY, samples.GREY
    )


# Derived from Howell's B-3: with x > 0.1 at half the way hidden, x > 0.2 of the source is gone and
# F falls to 0.051927314; through the axis it is halved.
@pytest.mark.parametrize(("x_m", "left"), [(0.1, 0.051927314 / 0.073477635), (0.0, 0.5), (0.3, 1.0)])
def test_a_flag_takes_its_share(x_m: float, left: float) -> None:
    """To 1 %: 89 places stand for the face."""
    kept = shadows.kept_by_panel(_half_plane(x_m), UNIT_SQUARE, np.zeros((1, 3)), vec(0, 0, 1))[0]
    assert 1 - kept == pytest.approx(left, abs=0.01)


def test_a_net_takes_what_it_doesnt_let_through() -> None:
    """A half-plane that lets 40 % through takes 60 % of what a black one takes."""
    black = _half_plane(0.0)
    net = Panel(
        "net", "net", black.centre_m, black.half_u_m, black.half_v_m, samples.GREY, samples.GREY, straight=0.4
    )
    place = np.zeros((1, 3))
    taken = [shadows.kept_by_panel(panel, UNIT_SQUARE, place)[0] for panel in (net, black)]
    assert taken[0] == pytest.approx(0.6 * taken[1])


def test_softness_is_by_similar_triangles() -> None:
    """0.9 m of face, the edge 0.5 m before it and the skin 0.7 m behind that: 0.9 · 0.7/0.5 = 1.26 m."""
    key = samples.lamp(centre_m=vec(0, -1.2, 1.2), normal=vec(0, 1, 0)).emitter
    assert key is not None
    assert shadows.softness_m(key, vec(0, -0.7, 1.2), vec(0, 0, 1.2)) == pytest.approx(1.26)


def test_half_a_disc_from_the_middle_of_its_rim() -> None:
    """At the middle of the rim half the face is hidden, and all or none a rim's half to either side."""
    key = samples.lamp(centre_m=vec(0, -1.2, 1.2), normal=vec(0, 1, 0)).emitter
    edge = Panel(
        "flag", "blocker", vec(2.0, -0.7, 1.2), vec(2, 0, 0), vec(0, 0, 2), samples.GREY, samples.GREY
    )
    assert key is not None
    across = np.array([(x, 0.0, 1.2) for x in (-0.64, 0.0, 0.64)])
    kept = shadows.kept_by_panel(edge, key, across)
    assert kept == pytest.approx([0.0, 0.5, 1.0], abs=0.02)


# The sitter's shadow


def _side(bearing_deg: float, size_m: float = 0.02, far_m: float = 10.0) -> samples.Thing:
    """A face far off at the height of the head, so that the shadow goes along the floor plan."""
    centre: Vec = vec(0, 0.12, 1.2) + far_m * direction_at(bearing_deg, 0.0)
    return samples.lamp(
        centre_m=centre, normal=unit(vec(0, 0.12, 1.2) - centre), width_m=size_m, height_m=size_m
    )


def _staged(*things: samples.Thing, sheet_m: float = 1.32) -> Staging:
    """A head whose middle is 12 cm behind the nose, a sheet 1.2 m behind that, nothing else."""
    who = samples.sitter()
    return samples.staging(
        *things, sitters=[who], solids=[samples.head(who)], sheets=[samples.sheet(sheet_m, top_m=2.4)],
        room=Room(-12.0, 12.0, -12.0, 2.0, 2.4),
    )  # fmt: skip


def test_shadow_falls_by_the_tangent_of_the_bearing() -> None:
    """40° to the side and 1.2 m behind: 1.2 · tan 40° = 1.007 m, the trade's 'about a metre'."""
    staging = _staged(_side(40.0))
    across = np.linspace(-2.0, 2.0, 401)
    line = np.stack([across, np.full(401, 1.32), np.full(401, 1.2)], axis=1)
    hidden = shadows.kept_by_solids(staging.scene.solids, staging.scene.emitters[0], line)
    assert across[hidden > 0.5].mean() == pytest.approx(-1.2 * math.tan(math.radians(40)), abs=0.02)


@pytest.mark.parametrize("size_m", [0.02, 1.5])
def test_no_line_that_meets_the_head_is_passed_over(size_m: float) -> None:
    """Against every line to the face by itself: places from before the head to far past its shadow's rim."""
    staging = _staged(_side(30.0, size_m, far_m=1.5))
    lamp, solid = staging.scene.emitters[0], staging.scene.solids[0]
    places = np.array([(x, y, 1.2) for x in np.linspace(-3.0, 3.0, 61) for y in (-0.3, 0.4, 1.32)])
    weight, face = shadows.sent(lamp, places)
    met = np.array([enters(solid, np.tile(place, (len(face), 1)), face) for place in places])
    whole = weight.sum(axis=1)
    wanted = np.divide((weight * met).sum(axis=1), whole, out=np.zeros(len(whole)), where=whole > 0)
    assert 0 < np.count_nonzero(wanted) < len(places)
    assert shadows.kept_by_solids(staging.scene.solids, lamp, places) == pytest.approx(wanted, abs=1e-12)


def _finding(staging: Staging, key: float = 0.5) -> Finding:
    readings = samples.readings(samples.reading("backdrop behind head", -1.0, key=key, walls=1 - key))
    return sitter_shadow.run(staging, readings)[0]


# With all of a lamp hidden that gives the share k of the light, 1 − k of it remains. From the reading's place
# to the shadow's the lamp's light changes by r, as cos θ/d² does.
@pytest.mark.parametrize(("share", "verdict"), [(0.45, "pass"), (0.55, "look")])
def test_one_stop_darker(share: float, verdict: str) -> None:
    """15° to the side the head's shadow lies 32 cm beside M, in the picture, the reading outside it."""
    found = _finding(_staged(_side(15.0)), share)
    lamp = vec(0, 0.12, 1.2) + 10 * direction_at(15.0, 0.0)
    at_reading, at_shadow = (
        (y - lamp[1]) / math.hypot(x - lamp[0], y - lamp[1]) ** 3 for x, y in ((0.0, 1.165), (-0.32, 1.32))
    )
    r = at_shadow / at_reading
    assert found.verdict == verdict
    assert found.margin == pytest.approx(1 - math.log2((share * r + 1 - share) / (1 - share)), abs=0.01)
    assert "camera-left of M" in found.text


def test_out_of_the_picture_it_does_not_count() -> None:
    """40° to the side the shadow lies a metre off, and the picture ends at 43 cm."""
    assert "in no shadow" in _finding(_staged(_side(40.0)), 0.9).text


def test_the_remedy_takes_it_out() -> None:
    """With the backdrop as much farther off as is said, the limit is met."""
    staging = _staged(_side(15.0))
    readings = samples.readings(samples.reading("backdrop behind head", -1.0, key=0.6, walls=0.4))
    more_m = sitter_shadow.farther_m(staging, readings, staging.scene.emitters[0])
    assert more_m is not None
    long = replace(staging, room=replace(staging.room, front_m=staging.room.front_m - 12.0))
    remedy = sitter_shadow.run(long, readings)[0].remedy
    assert f"{more_m:.2f} m farther from the backdrop, which the room allows" in remedy


def test_a_room_too_short_for_it_is_said() -> None:
    """With 30 cm more than is wanted behind the camera 30 cm is the most; with nothing over, none is."""
    near = _staged(_side(15.0))
    readings = samples.readings(samples.reading("backdrop behind head", -1.0, key=0.6, walls=0.4))
    more_m = sitter_shadow.farther_m(near, readings, near.scene.emitters[0])
    assert more_m is not None
    assert more_m > 0.3
    things = [one for one in near.items if one.kind == "camera"]
    for front_m, words in ((-2.82, "30 cm of it is the most that this room allows"), (-2.55, "none of it")):
        short = replace(near, items=tuple(things), room=replace(near.room, front_m=front_m))
        remedy = sitter_shadow.run(short, readings)[0].remedy
        assert remedy.startswith("Take the lamp farther to the side")
        assert words in remedy
        assert f"{more_m:.2f} m more between sitter and backdrop" in remedy


def test_a_large_face_near_by_makes_no_deep_shadow() -> None:
    """A head 1.2 m before the sheet hides a fifth of a 4 m face 10 m off, and all of a 2 cm one."""
    large, small = (_finding(_staged(_side(15.0, size_m)), 0.9) for size_m in (4.0, 0.02))
    assert (large.verdict, small.verdict) == ("pass", "look")
    assert "100 % of its light" in small.text


# Panels before a lamp


def _with_flag(edge_m: float, straight: float = 0.0) -> Finding:
    """A lamp straight ahead of the face and a flag half-way, its edge so far to camera-left of the line."""
    key = samples.lamp(centre_m=vec(0, -1.2, 1.2), normal=vec(0, 1, 0), width_m=0.3, height_m=0.3)
    flag = samples.panel(
        "blocker", "flag", vec(0.5 - edge_m, -0.6, 1.2), vec(0, -1, 0), 1.0, 2.0, straight=straight
    )
    return blocker_shadow.run(samples.staging(key, flag), samples.readings())[0]


@pytest.mark.parametrize(
    ("edge_m", "verdict"), [(-0.105, "pass"), (-0.07, "look"), (0.0, "look"), (0.105, "pass")]
)
def test_an_edge_on_the_face_is_worth_a_look(edge_m: float, verdict: str) -> None:
    """Half-way, the cone from a cheek 5 cm out to the face's rim at 15 cm ends (15 + 5)/2 = 10 cm out."""
    assert _with_flag(edge_m).verdict == verdict


def test_a_net_is_only_told() -> None:
    """It is meant to take some."""
    found = _with_flag(0.0, straight=0.5)
    assert found.verdict == "pass"
    assert "lets 50 % through" in found.text


def test_nothing_between_is_said() -> None:
    """A card beside the face keeps nothing off."""
    found = blocker_shadow.run(samples.staging(samples.panel()), samples.readings())
    assert [one.verdict for one in found] == ["pass"]
    assert "0 % is kept off" in found[0].text
