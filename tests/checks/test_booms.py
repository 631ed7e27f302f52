"""Booms against people, hats, things, stands, backdrop and camera, each on both sides of its limit."""

from dataclasses import replace

import numpy as np
import pytest

from checks import samples
from thirdstop.checks import room_fit
from thirdstop.checks.booms import boom_through
from thirdstop.checks.findings import Finding
from thirdstop.checks.parts import TUBE_HALF_M
from thirdstop.checks.segments import in_solids, to_polygon_m, to_segments_m
from thirdstop.staging.clashes import CAMERA_HALF_M
from thirdstop.staging.shapes import Ellipsoid, Panel
from thirdstop.staging.staging import Staging, Support
from thirdstop.staging.vectors import bearing_direction, bearing_of, vec
from thirdstop.typed import Array

TOUCH_M = TUBE_HALF_M - 0.01
"""From a thing to the axis of a boom that touches it: half a tube, less what clothes give way."""
WIDE = replace(samples.ROOM, left_m=-3.0, right_m=3.0, front_m=-4.0, back_m=3.0)
SITTER = samples.sitter(pose="standing")


def _boom(base: tuple[float, float], load_m: Array, rear_m: float = 0.4) -> Support:
    base_m = vec(*base, 0.0)
    top_m = vec(*base, float(load_m[2]))
    reach_m = float(np.hypot(*(base_m - load_m)[:2]))
    return Support(
        "stand", base_m, top_m, 0.4, 5.0, load_m, 3.0, "boom", 1.5, boom_reach_m=reach_m, boom_rear_m=rear_m
    )


def _key(base: tuple[float, float], load: tuple[float, float, float], name: str = "key") -> samples.Thing:
    """A small lamp on a boom, looking away from everything: straight up."""
    load_m = vec(*load)
    return samples.lamp(
        name, load_m, vec(0, 0, 1), 0.1, 0.1, outline="rectangle", support=_boom(base, load_m)
    )


def _staging(*things: samples.Thing, **more: object) -> Staging:
    given = {"room": WIDE, "sitters": [SITTER], **more}
    return samples.staging(*things, **given)  # type: ignore[arg-type]


def _found(staging: Staging, name: str = "key") -> Finding | None:
    found = [one for one in room_fit.run(staging, samples.readings()) if one.about == f"{name}: boom"]
    return found[0] if found else None


@pytest.mark.parametrize(("over_m", "through"), [(TOUCH_M - 0.002, True), (TOUCH_M + 0.002, False)])
def test_through_a_head(over_m: float, through: bool) -> None:
    """An arm 2 mm inside the limit over the crown halts and names the head; 2 mm outside nothing is said."""
    head = samples.head(SITTER)
    y_m, top_m = float(head.centre_m[1]), float(head.centre_m[2]) + 0.115
    found = _found(_staging(_key((1.0, y_m), (-0.5, y_m, top_m + over_m)), solids=[head]))

    assert (found is not None) is through
    if found is not None:
        assert found.verdict == "halt"
        assert "goes through the head of 'sitter'." in found.text
        assert found.text.startswith("The boom 'boom' of 'key', 1.32 m high,")


def test_the_rear_end_counts() -> None:
    """What is behind the column up to the rear end goes through somebody too, and not beyond."""
    head = samples.head(SITTER)
    y_m, z_m = float(head.centre_m[1]), float(head.centre_m[2])
    for x_m, through in ((-0.4 - 0.075 - TOUCH_M + 0.002, True), (-0.4 - 0.075 - TOUCH_M - 0.002, False)):
        key = _key((x_m, y_m), (x_m - 0.8, y_m, z_m))
        assert (_found(_staging(key, solids=[head])) is not None) is through


@pytest.mark.parametrize(("over_m", "through"), [(TOUCH_M - 0.002, True), (TOUCH_M + 0.002, False)])
@pytest.mark.parametrize("kind", ["card", "blocker"])
def test_through_a_card(kind: str, over_m: float, through: bool) -> None:
    """Over the upper edge of an upright card or flag, 60 cm high about 1 m."""
    card = samples.panel(
        "card" if kind == "card" else "blocker",
        "fill",
        vec(-0.6, 0, 1.0),
        vec(1, 0, 0),
        width_m=0.6,
        height_m=0.6,
    )
    found = _found(_staging(_key((-1.5, 0.0), (0.2, 0.0, 1.3 + over_m)), card))

    assert (found is not None) is through
    assert found is None or f"the {kind} 'fill'" in found.text


def test_through_the_body_of_another_lamp() -> None:
    """What a lamp is behind its face counts as its face does; a lamp's own load never."""
    shell = np.array([[0.5, 0.2, 1.0], [0.5, -0.2, 1.0], [0.5, -0.2, 1.4], [0.5, 0.2, 1.4]])
    other = samples.lamp("hair", vec(0.4, 0, 1.2), vec(-1, 0, 0), 0.1, 0.1, body=[shell])
    key = _key((1.2, 0.1), (-0.5, 0.1, 1.3))
    found = _found(_staging(key, other))

    assert found is not None
    assert "the lamp 'hair'" in found.text
    assert _found(_staging(key)) is None


def _standing(base: tuple[float, float], top_m: float, name: str = "card") -> samples.Thing:
    """A small card on a stand whose column alone is in the way."""
    base_m, top = vec(*base, 0.0), vec(*base, top_m)
    support = Support("stand", base_m, top, 0.4, 2.0, top, 1.0)
    return samples.panel(
        "card", name, vec(base[0], base[1] + 1.0, 1.0), width_m=0.1, height_m=0.1, support=support
    )


@pytest.mark.parametrize(
    ("beside_m", "through"), [(2 * TUBE_HALF_M - 0.002, True), (2 * TUBE_HALF_M + 0.002, False)]
)
def test_beside_a_column(beside_m: float, through: bool) -> None:
    """Two tubes need the half of each between their axes; over the column's top the same."""
    key = _key((1.2, 0.0), (-0.5, 0.0, 1.5))
    beside = _found(_staging(key, _standing((0.3, beside_m), 1.8)))
    over = _found(_staging(key, _standing((0.3, 0.0), 1.5 - beside_m)))

    for found in (beside, over):
        assert (found is not None) is through
        assert found is None or "the column of the stand of 'card'" in found.text


@pytest.mark.parametrize(
    ("over_m", "through"), [(2 * TUBE_HALF_M - 0.002, True), (2 * TUBE_HALF_M + 0.002, False)]
)
def test_two_booms(over_m: float, through: bool) -> None:
    """One across another is told at both."""
    staging = _staging(
        _key((1.2, 0.0), (-0.5, 0.0, 1.5)), _key((0.3, 0.7), (0.3, -0.6, 1.5 + over_m), "hair")
    )

    assert (_found(staging) is not None) is through
    assert (_found(staging, "hair") is not None) is through


@pytest.mark.parametrize(("over_m", "through"), [(-0.002, True), (0.002, False)])
def test_over_the_camera(over_m: float, through: bool) -> None:
    """A boom may pass over a camera, not through it, and not under it, where something carries it."""
    top_m = 1.2 + max(CAMERA_HALF_M) + TUBE_HALF_M
    over = _found(_staging(_key((1.0, -2.0), (-0.5, -2.0, top_m + over_m))))

    assert (over is not None) is through
    assert _found(_staging(_key((1.0, -2.0), (-0.5, -2.0, 0.8)))) is not None
    assert over is None or "the camera" in over.text


@pytest.mark.parametrize(("over_m", "through"), [(TOUCH_M - 0.002, True), (TOUCH_M + 0.002, False)])
def test_over_the_backdrop(over_m: float, through: bool) -> None:
    """A boom from behind a sheet of 1.8 m comes over it or through it."""
    hung = samples.sheet(top_m=1.8)
    found = _found(_staging(_key((0.4, 1.8), (0.4, 0.6, 1.8 + over_m)), sheets=[hung]))

    assert (found is not None) is through
    assert found is None or "the backdrop" in found.text


@pytest.mark.parametrize(("under_m", "through"), [(TOUCH_M - 0.002, True), (TOUCH_M + 0.002, False)])
def test_under_a_brim(under_m: float, through: bool) -> None:
    """A brim of 15 cm about the head, at 1.3 m, belongs to its sitter."""
    brim = Panel(
        "brim",
        "brim",
        vec(0, 0.1, 1.3),
        vec(0.15, 0, 0),
        vec(0, 0.15, 0),
        samples.GREY,
        samples.GREY,
        "ellipse",
    )
    found = _found(_staging(_key((1.0, 0.1), (-0.5, 0.1, 1.3 - under_m)), more_panels=[brim]))

    assert (found is not None) is through
    assert found is None or "the brim of 'sitter'" in found.text


def _turned(thing: samples.Thing, bearing_deg: float) -> samples.Thing:
    """The same load with its boom from another side."""
    support = thing.item.support
    assert support is not None
    out_m = support.boom_reach_m * bearing_direction(bearing_deg)
    load_m = support.load_m
    base = float(load_m[0] + out_m[0]), float(load_m[1] + out_m[1])
    return replace(thing, item=replace(thing.item, support=_boom(base, load_m)))


def test_the_side_that_is_named_frees_the_boom() -> None:
    """Put in as told, its stand where it is told, the boom is free; five degrees less and it isn't."""
    head = samples.head(SITTER)
    y_m, z_m = float(head.centre_m[1]), float(head.centre_m[2])
    key = _key((1.0, y_m), (-0.5, y_m, z_m))
    hit = boom_through(_staging(key, solids=[head]), key.item)

    assert hit is not None and hit.from_deg is not None and key.item.support is not None
    support = key.item.support
    now_deg = bearing_of(support.base_m - support.load_m)
    assert hit.turn_deg == pytest.approx(abs(hit.from_deg - now_deg))
    there, nearer = (
        _turned(key, hit.from_deg - less * np.sign(hit.from_deg - now_deg)) for less in (0.0, 5.0)
    )
    assert there.item.support is not None
    assert there.item.support.base_m == pytest.approx(hit.base_m)
    assert _found(_staging(there, solids=[head])) is None
    assert _found(_staging(nearer, solids=[head])) is not None
    side = "right" if hit.from_deg > 0 else "left"
    assert f"Let it come from {abs(hit.from_deg):.0f}° camera-{side} instead" in hit.remedy


def test_a_side_without_room_is_not_named() -> None:
    """In a narrow room the boom turns until its stand has room; where no side has any, none is named."""
    head = samples.head(SITTER)
    y_m, z_m = float(head.centre_m[1]), float(head.centre_m[2])
    key = _key((1.0, y_m), (-0.5, y_m, z_m))
    wide, narrow, least = (
        _found(_staging(key, solids=[head], room=room))
        for room in (
            WIDE,
            replace(WIDE, right_m=0.3),
            replace(WIDE, right_m=0.3, left_m=-1.2, front_m=-0.6, back_m=0.6),
        )
    )

    assert wide is not None and narrow is not None and least is not None
    assert (wide.margin, narrow.margin, least.margin) == (-15.0, -70.0, None)
    assert "Let it come from 75° camera-right instead" in wide.remedy
    assert "Let it come from 20° camera-right instead" in narrow.remedy
    assert (
        least.remedy == "Use a stand without a boom, or another place for its load or for what is in the way."
    )


def test_what_has_no_boom_has_none_in_the_way() -> None:
    """Neither a stand alone nor what is held."""
    staging = _staging(_standing((0.0, 0.12), 1.5), solids=[samples.head(SITTER)])

    assert boom_through(staging, staging.item("card")) is None
    assert boom_through(staging, staging.item("key")) is None


def _ends() -> tuple[Array, Array]:
    """Forty segments, spread by the golden ratio; no random numbers."""
    k = np.arange(40)[:, None]
    steps = (0.6180339887, 0.7548776662, 0.5698402910, 0.8191725134, 0.6710436067, 0.5497004779)
    spread = np.concatenate([(k * step) % 1.0 for step in steps], axis=1) * 2 - 1
    return spread[:, :3], spread[:, 3:]


SHARES = np.linspace(0.0, 1.0, 2001)


def test_distances_of_segments_agree_with_places_along_them() -> None:
    """Against the nearest of many places along both, to what lies between two places."""
    start_m, end_m = _ends()
    first_m, last_m = start_m[::5] * (1, -1, 1), end_m[::5]
    found = to_segments_m(start_m, end_m, first_m, last_m)
    shares = SHARES[::20, None]
    for a, (p, q) in enumerate(zip(start_m, end_m, strict=True)):
        for b, (r, s) in enumerate(zip(first_m, last_m, strict=True)):
            along, across = p + shares * (q - p), r + shares * (s - r)
            least = float(np.sqrt(((along[:, None] - across[None]) ** 2).sum(-1)).min())
            assert found[a, b] <= least + 1e-9
            assert found[a, b] >= least - 0.04
    assert to_segments_m(start_m, end_m, end_m, start_m).diagonal() == pytest.approx(np.zeros(40), abs=1e-9)


def test_distances_to_a_polygon_agree_with_places_on_it() -> None:
    """Over, beside, and cut: against the nearest of places of a grid on the polygon."""
    polygon = np.array([[-0.5, -0.4, 0.1], [0.6, -0.4, 0.1], [0.6, 0.5, 0.1], [-0.5, 0.5, 0.1]])
    grid = np.stack(np.meshgrid(np.linspace(-0.5, 0.6, 56), np.linspace(-0.4, 0.5, 46)), -1).reshape(-1, 2)
    places = np.column_stack([grid, np.full(len(grid), 0.1)])
    start_m, end_m = _ends()
    found = to_polygon_m(start_m, end_m, polygon)
    cut = 0
    for k, (p, q) in enumerate(zip(start_m, end_m, strict=True)):
        along = p + SHARES[::10, None] * (q - p)
        least = float(np.sqrt(((along[:, None] - places[None]) ** 2).sum(-1)).min())
        cut += found[k] == 0
        assert found[k] <= least + 1e-9
        assert found[k] >= least - 0.025
    assert cut > 3


def test_solids_agree_with_places_along_a_segment() -> None:
    """In a ball of 40 cm, grown by 2 cm, is what has a place nearer to its middle than 42 cm."""
    ball = Ellipsoid("head", "head", 0, vec(0.1, 0.2, 0.0), vec(0.4, 0.4, 0.4), np.eye(3), samples.GREY)
    start_m, end_m = _ends()
    found = in_solids([ball], start_m, end_m, 0.02)[:, 0]
    along = start_m[:, None] + SHARES[:, None] * (end_m - start_m)[:, None]
    least = np.linalg.norm(along - ball.centre_m, axis=-1).min(axis=1)

    assert (found == (least < 0.42)).all()
    assert 0 < found.sum() < 40
