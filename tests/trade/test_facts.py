"""What the trade knows by experience, each on a staging: common practice, no source, but for closed forms.

The engine was not fitted to any of it.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from exposure.stagings import lamp_place, staging, transport
from reference.builder import Set, unit, vec
from staging.books import staged
from thirdstop.checks import catchlights
from thirdstop.checks.in_frame import frame_margin_m
from thirdstop.exposure import stops
from thirdstop.exposure.charging import charge
from thirdstop.exposure.flash import direct_exposure, power_of_click
from thirdstop.exposure.meter import read
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.readings import Readings, Transport
from thirdstop.exposure.transport import solve
from thirdstop.staging.materials import Material, Matte, Metallised
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Emitter, Lambertian
from thirdstop.staging.staging import Scene, Staging
from thirdstop.typed import Array, Vec

WHITE, BLACK = Matte(0.78), Matte(0.04)
SILVER = Metallised(0.80, 0.35, 0.25)
CRISP = Metallised(0.85, 0.12, 0.05)
FACE = vec(0.0, 0.0, 1.2)
KEY_AT = vec(0.9, -0.75, 1.6)
CHEEK = vec(-0.05, -0.02, 1.2)
"""Of the shaded side, about which a card opposite is aimed."""


def total(light: Transport, point: str) -> float:
    """All light at a point, lx·s at full power."""
    return float(light.total_lx_s.sum(axis=0)[light.points.index(point)])


def from_card(light: Transport, point: str, card: str = "card") -> float:
    """Light at a point that last came from a card."""
    return float(light.bounced_lx_s[0, light.points.index(point), light.surfaces.index(card)])


# Clicks


@pytest.mark.parametrize(
    ("wide", "narrow", "steps"), [(8.0, 16.0, 2), (5.6568542, 8.0, 1), (8.0, 11.3137085, 1)]
)
def test_apertures_in_clicks(wide: float, narrow: float, steps: int) -> None:
    """From f/16 to f/8 is two stops and six clicks, from f/5.6 to f/8 one stop and three."""
    clicks = []
    for aperture in (wide, narrow):
        here = staging(lamps=[lamp_place("key", None)], aperture=aperture)
        clicks.append(read(here, transport(here.scene, [[900.0] * 5])).lamps[0].click)

    assert stops.aperture_value(narrow) - stops.aperture_value(wide) == pytest.approx(steps, abs=1e-6)
    assert clicks[1] - clicks[0] == 3 * steps


def test_three_clicks_are_a_stop() -> None:
    """Three clicks up double the light at every measuring point."""
    found = []
    for click in (18, 21):
        here = staging(lamps=[lamp_place("key", click)])
        found.append(read(here, transport(here.scene, [[100.0, 20.0, 80.0, 30.0, 10.0]])))

    assert power_of_click(21, 25) / power_of_click(18, 25) == pytest.approx(2)
    for one, other in zip(found[0].readings.values(), found[1].readings.values(), strict=True):
        assert other.lux_seconds / one.lux_seconds == pytest.approx(2)


# Distance


def disc_and_meter(distance_m: float) -> tuple[Emitter, MeasuringPoint]:
    """A round face 0.9 m across and a flat receptor on its axis that faces it."""
    u, v = vec(0.45, 0, 0), vec(0, 0.45, 0)
    lamp = Emitter("key", vec(0, 0, 0), u, v, "ellipse", Lambertian(), 1000.0)
    return lamp, MeasuringPoint("nose", vec(0, 0, distance_m), vec(0, 0, -1), "flat")


def fall_stops(near_m: float, far_m: float) -> float:
    """By how much the reading falls from the one distance to the other."""
    near, far = (direct_exposure(*disc_and_meter(d)) for d in (near_m, far_m))
    return math.log2(near / far)


def test_a_large_face_falls_off_slower() -> None:
    """A 0.9 m disc from 1.2 to 1.5 m changes by the closed form's 0.58 stop, ∝ 1/(r² + d²), where inverse
    square says 0.64.
    """
    assert fall_stops(1.2, 1.5) == pytest.approx(closed_form_stops(1.2, 1.5), abs=1e-4)
    assert fall_stops(1.2, 1.5) == pytest.approx(0.58, abs=0.005)


def closed_form_stops(near_m: float, far_m: float) -> float:
    """Of the face of 0.9 m: its light on the axis goes as 1/(r² + d²) (Howell B-12)."""
    return math.log2((0.45**2 + far_m**2) / (0.45**2 + near_m**2))


@pytest.mark.parametrize(("diameters", "fall"), [(0.5, 1.32), (1, 1.77), (2, 1.94), (3, 1.97)])
def test_doubling_the_distance(diameters: float, fall: float) -> None:
    """On the axis of a round face a doubled distance costs 1.3 stops close by and nearly two far off."""
    near_m, far_m = 0.9 * diameters, 1.8 * diameters

    assert fall_stops(near_m, far_m) == pytest.approx(closed_form_stops(near_m, far_m), abs=1e-3)
    assert fall_stops(near_m, far_m) == pytest.approx(fall, abs=0.006)


@pytest.mark.parametrize(
    ("distance_m", "off_m", "change"), [(1.1, 0.05, 0.11), (1.1, 0.1, 0.23), (2.0, 0.1, 0.14)]
)
def test_what_a_tape_error_costs(distance_m: float, off_m: float, change: float) -> None:
    """A 0.9 m face at 1.1 m: 5 cm are 0.11 stop, 10 cm 0.23; at 2 m 10 cm are 0.14."""
    assert fall_stops(distance_m, distance_m + off_m) == pytest.approx(change, abs=0.015)


# Cards


def card_scene(at: Vec, aim: Vec, surface: Material, walls: float = 0.3) -> Scene:
    """A round key to the right of a sitter, and a card 0.6 × 0.9 m."""
    on = Set(walls=walls).sitter()
    on.lamp(KEY_AT, FACE, 0.6, outline="ellipse")
    return on.panel("card", at, aim, 0.6, 0.9, surface, BLACK).scene()


def bisecting(at: Vec, lamp_m: Vec = KEY_AT) -> Array:
    """Where a card looks whose normal halves the angle between lamp and shaded cheek."""
    return at + unit(unit(lamp_m - at) + unit(CHEEK - at))


def test_silver_beats_white_near_its_mirror_direction_and_loses_well_off_it() -> None:
    """At the same place: aimed to mirror the key at the shaded cheek, silver gives more than white; swung
    well away from it, less.
    """
    at = vec(-0.6, -0.3, 1.15)
    aimed = bisecting(at)
    away = at + unit(vec(0.35, 1.0, 0.0))
    fill = {
        (name, way): from_card(solve(card_scene(at, aim, surface)), "right cheek")
        for name, surface in (("white", WHITE), ("silver", SILVER))
        for way, aim in (("aimed", aimed), ("away", away))
    }

    assert fill["silver", "aimed"] > fill["white", "aimed"]
    assert fill["silver", "away"] < fill["white", "away"]
    # swinging costs silver more than it costs white
    assert (
        fill["silver", "aimed"] / fill["silver", "away"]
        > 1.5 * fill["white", "aimed"] / fill["white", "away"]
    )


AT = "at: {string: 75 cm, bearing: 70 deg camera-left, height: 1.15 m}"
"""Of the card in the demo's everyday portrait, which bisects key and face."""


def test_a_card_fills_more_the_nearer_until_it_shows() -> None:
    """Kept bisecting, clear of key and head, the card brings more the nearer it comes, to where it shows."""
    fill, clear = [], []
    for string_cm in (110, 90, 70, 60, 50, 44):
        here = charge(staged("borrowed-window", (AT, AT.replace("75 cm", f"{string_cm} cm"))))
        fill.append(from_card(solve(here.scene, SCAN), "right cheek"))
        clear.append(frame_margin_m(here, here.item("card")) > 0)

    assert clear == [True] * 5 + [False]
    assert (np.diff(fill[:5]) > 0.02 * fill[0]).all()


def side_lit(distance_m: float, card: Material | None, gap_m: float = 0.35, walls: float = 0.5) -> Transport:
    """A round key square to camera-right, and on the other side a card as near as the frame allows.

    In front of an upright 85 mm at 2 m the picture is 0.54 m wide; the card's middle is 0.35 m off.
    """
    on = Set(width_m=6.0, walls=walls).sitter()
    lamp_m = vec(distance_m, 0.0, 1.3)
    on.lamp(lamp_m, FACE, 0.9, outline="ellipse")
    if card is not None:
        at = vec(-gap_m * math.sin(math.radians(75)), -gap_m * math.cos(math.radians(75)), 1.2)
        on.panel("card", at, bisecting(at, lamp_m), 0.9, 1.2, card, BLACK)
    return solve(on.scene())


def split_stops(light: Transport) -> float:
    """Lit cheek over shaded cheek."""
    return math.log2(total(light, "left cheek") / total(light, "right cheek"))


def test_a_silver_card_near_a_far_side_light_makes_the_face_nearly_even() -> None:
    """With the lamp 2.5 m off, a crisp silver card beside the face brings the shaded side within a stop; yet
    one side stays lit, and no direct light is on the other.
    """
    light = side_lit(2.5, CRISP)

    assert 0.3 < split_stops(light) < 1.0
    assert split_stops(side_lit(2.5, None)) > 2.5
    assert light.direct_lx_s[0, light.points.index("right cheek")] == 0


@pytest.mark.parametrize("distance_m", [1.0, 1.5])
def test_no_silver_card_evens_out_a_near_side_light(distance_m: float) -> None:
    """Nearer, no silver can. A mirror shows the lamp at D, as far as lamp to card and card to cheek together,
    where a round face head on gives π·L·r²/(r² + D²): 85 % of that is over a stop under the key.
    """
    light = side_lit(distance_m, CRISP, walls=0.0)
    gap_m = 0.35
    card = vec(-gap_m * math.sin(math.radians(75)), -gap_m * math.cos(math.radians(75)), 1.2)
    cheek = next(p.place_m for p in Set().sitter().points if p.name == "right cheek")
    path_m = float(np.linalg.norm(vec(distance_m, 0, 1.3) - card) + np.linalg.norm(cheek - card))
    mirrored = 0.85 * math.pi * 1000.0 * 0.45**2 / (0.45**2 + path_m**2)
    lit = float(light.direct_lx_s[0, light.points.index("left cheek")])

    assert from_card(light, "right cheek") < 1.02 * mirrored
    assert math.log2(lit / mirrored) > 1.0
    assert split_stops(side_lit(distance_m, CRISP)) > 1.0


@pytest.mark.parametrize("walls", [0.04, 0.1])
def test_without_a_card_a_dark_room_leaves_the_far_half_dark(walls: float) -> None:
    """The same lamp 1 m to the side in a room painted dark: five stops and more between the cheeks."""
    on = Set(width_m=3.0, walls=walls, floor=walls, ceiling=walls).sitter()
    on.lamp(vec(1.0, 0.0, 1.3), FACE, 0.9, outline="ellipse")

    assert split_stops(solve(on.scene())) > 5.0


@pytest.mark.parametrize("gap_m", [0.3, 0.5])
def test_a_black_panel_takes_part_of_what_pale_walls_give(gap_m: float) -> None:
    """Beside the shaded cheek it takes some of the walls' light, and never more than painting all black."""

    def shaded(reflectance: float, panel: bool) -> float:
        on = Set(walls=reflectance, floor=reflectance, ceiling=reflectance).sitter()
        on.lamp(KEY_AT, FACE, 0.6, outline="ellipse")
        if panel:
            on.panel("panel", vec(-gap_m, 0.0, 1.2), FACE, 0.9, 1.8, BLACK, BLACK, role="blocker")
        return total(solve(on.scene()), "right cheek")

    pale, held, black = shaded(0.7, False), shaded(0.7, True), shaded(0.04, False)

    assert black < held < 0.9 * pale


# Hats

KEY_LOW = "at: {string: 1.3 m, bearing: 35 deg camera-right, height: 1.55 m}"
KEY_HIGH = "at: {string: 1.1 m, bearing: 10 deg camera-right, height: 1.95 m}"
BRIM = "{front: 7 cm, side: 6 cm, above_eye: 5 cm}"
WIDE = "{front: 11 cm, side: 9 cm, above_eye: 4 cm}"
LAP = "at: {string: 70 cm, bearing: 20 deg camera-left, height: 84 cm}"
NEAR_LAP = "at: {string: 50 cm, bearing: 3 deg camera-left, height: 95 cm}"


def under_a_wide_brim(with_card: bool) -> tuple[Staging, Readings]:
    """A high lamp, a wide brim, and a silver card in the lap or none."""
    target = ("target: {ratio: 3.5:1, within: 1/3 stop}", "target: {}")
    swaps = [(KEY_LOW, KEY_HIGH), (BRIM, WIDE), (LAP, NEAR_LAP), target]
    here = charge(staged("under-the-brim", *swaps))
    if not with_card:
        bare = tuple(p for p in here.scene.panels if p.role != "card")
        items = tuple(item for item in here.items if item.kind != "card")
        here = replace(here, scene=replace(here.scene, panels=bare), items=items)
    return here, read(here, solve(here.scene))


def test_eyes_under_a_brim_are_dark_until_a_low_card_lifts_them() -> None:
    """Under a wide brim and a high lamp the eyes are three stops down and more; a card in the lap lifts them
    by a stop and a half and shows in them, low, as the one catchlight.
    """
    (bare, dark), (carded, lifted) = under_a_wide_brim(False), under_a_wide_brim(True)

    for eye in ("left eye", "right eye"):
        assert dark[eye].stops_from_key < -3.0
        assert lifted[eye].stops_from_key > dark[eye].stops_from_key + 1.5
        assert lifted[eye].budget["lap card"] > 0.5
    assert catchlights.run(bare, dark)[0].text.count("0 catchlights") == 2
    assert catchlights.run(carded, lifted)[0].text.count("'lap card' at 6 o'clock") == 2
