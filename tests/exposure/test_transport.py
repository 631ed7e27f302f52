"""The whole engine: cases with known answers, and what must hold in any scene."""

import math
from dataclasses import replace

import numpy as np
import pytest

from exposure.sets import BLACK, GREY, UP, WHITE, far_room, lamp, panel, point, room, scene, sitter, unit, vec
from thirdstop.exposure.quality import ANSWER, SCAN
from thirdstop.exposure.transport import solve
from thirdstop.staging.materials import Matte, Metallised, Translucent
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Beam, Ellipsoid, Emitter, Gridded, Lambertian, Panel
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array, Vec

FAR_ROOM = far_room()
SILVER = Metallised(0.8, 0.3, 0.25)

# A point key of 1000 cd at 45°, an element at the origin that faces it, a card of 0.8 × 1.0 m, ρ = 0.85:
# single bounce by quadrature of the exact integrand (crossed with Monte Carlo within 0.02 %).
CARD_BOUNCE = [(-0.4, 116.360838), (-0.6, 68.500724), (-0.8, 40.846799), (-1.2, 16.131750)]


def nearly_isotropic(centre: Vec, toward: Vec) -> Emitter:
    """A small face of 1000 cd·s whose intensity falls by a few per cent in the first 60°."""
    wide = lamp(
        centre=centre, normal=toward - centre, size_m=0.01, outline="rectangle", emission=Beam(89.999)
    )
    return replace(wide, luminance_cd_s_m2=1000 / 1e-4)


@pytest.mark.parametrize(("x_m", "expected"), CARD_BOUNCE)
def test_card_bounce(x_m: float, expected: float) -> None:
    """Fill from a white card: card's own illuminance and its factor together, so not by inverse square."""
    card = panel("card", vec(x_m, 0, 0.3), vec(1, 0, 0), 1.0, 0.8, Matte(0.85), BLACK)
    key = nearly_isotropic(vec(1.060660, 0, 1.060660), card.centre_m)
    eye = point("cheek", vec(0, 0, 0), vec(-1, 0, 1))
    transport = solve(Scene((*FAR_ROOM, card), (), (key,), (eye,)))

    assert transport.bounced_lx_s[0, 0, 6] == pytest.approx(expected, rel=0.01)
    assert transport.bounced_lx_s.sum() == pytest.approx(transport.bounced_lx_s[0, 0, 6])


def test_key_at_normal_incidence() -> None:
    """1000 cd at 1.5 m give 444.444444 lx head on."""
    key = nearly_isotropic(vec(1.060660, 0, 1.060660), vec(0, 0, 0))
    eye = point("cheek", vec(0, 0, 0), vec(1, 0, 1))

    assert solve(Scene(FAR_ROOM, (), (key,), (eye,))).direct_lx_s[0, 0] == pytest.approx(444.444444, rel=1e-4)


def test_sheet_passes_light_to_its_other_side() -> None:
    """A small lamp 0.5 m behind a translucent sheet: Gauss quadrature of τ/π · E(x) · cos cos/r²."""
    sheet = panel("sheet", vec(0, 0, 0), vec(0, 0, 1), 1.0, 1.0, Translucent(0.5, 0.35))
    key = lamp(centre=vec(0, 0, -0.5), normal=UP, size_m=0.02, outline="rectangle")
    eye = point("eye", vec(0.2, 0, 0.6), vec(0, 0, -1))
    nodes, weights = np.polynomial.legendre.leggauss(40)
    x, y = np.meshgrid(nodes / 2, nodes / 2)
    arriving = 1000 * 0.02**2 * 0.5**2 / (x**2 + y**2 + 0.25) ** 2
    seen = 0.6**2 / ((x - 0.2) ** 2 + y**2 + 0.36) ** 2
    expected = float(weights @ (0.5 / math.pi * arriving * seen) @ weights) / 4
    transport = solve(Scene((*FAR_ROOM, sheet), (), (key,), (eye,)))

    assert transport.direct_lx_s[0, 0] == 0
    assert transport.bounced_lx_s[0, 0, 6] == pytest.approx(expected, rel=0.01)


def test_net_takes_its_share_of_direct_light() -> None:
    """A net that passes 0.7 straight lets 0.7 of a small lamp's light through, and two of them 0.49."""
    key = lamp(centre=vec(0, 0, 2), normal=vec(0, 0, -1), size_m=0.1)
    eye = point("eye", vec(0, 0, 0), UP)
    nets = [
        panel("net", vec(0, 0, z), UP, 1, 1, BLACK, role="net", outline="ellipse", straight=0.7)
        for z in (0.8, 1.2)
    ]
    light = [solve(Scene((*FAR_ROOM, *nets[:n]), (), (key,), (eye,))).direct_lx_s[0, 0] for n in range(3)]

    assert light[1] / light[0] == pytest.approx(0.7)
    assert light[2] / light[0] == pytest.approx(0.49)


def test_a_sliver_of_a_lamp_lights_a_card() -> None:
    """A flag leaves a fiftieth of the lamp in sight, less than lies between two samples of it: a card gets
    that much of its light.
    """
    key = lamp(centre=vec(0, -2, 0), normal=vec(0, 1, 0), size_m=1.0, outline="rectangle")
    card = panel("card", vec(0, 0, 0), vec(0, -1, 0), 0.01, 0.01, WHITE, BLACK)
    eye = point("eye", vec(0.2, -0.3, 0), vec(-0.2, 0.3, 0))
    # Seen from the card, the flag a quarter of the way covers the lamp from 2 % of its width on.
    edge_m = 0.25 * (-0.5 + 0.02)
    flag = panel("flag", vec(edge_m + 0.5, -0.5, 0), vec(0, -1, 0), 1.0, 1.0, BLACK, role="blocker")
    whole, sliver = (
        float(solve(Scene((*FAR_ROOM, card, *more), (), (key,), (eye,))).bounced_lx_s[0, 0, 6])
        for more in ((), (flag,))
    )

    assert sliver / whole == pytest.approx(0.02, abs=0.005)


@pytest.mark.parametrize("receptor", ["flat", "dome"])
def test_white_room_lit_evenly(receptor: str) -> None:
    """In a room of one reflectance a far, small opening of light is seen evenly: a flat receptor reads what
    bounces about E·ρ/(1 − ρ) with E the mean over the walls, a dome twice that.
    """
    walls = room(Matte(0.95), size=vec(3, 3, 3))
    key = lamp(centre=vec(0, 0, 1.5), normal=vec(0, 0, 1), size_m=0.2)
    eye = MeasuringPoint(
        "eye", vec(0.3, 0.2, 0.9), unit(vec(1, 2, 3)), "dome" if receptor == "dome" else "flat"
    )
    bounced = float(solve(Scene(walls, (), (key,), (eye,))).bounced_lx_s.sum())
    light_lm_s = 1000 * math.pi * math.pi * 0.1**2
    absorbing_m2 = 54 * 0.05 + 0.05 * 2 * math.pi * 0.1**2 + 0.95 * 2 * math.pi * 0.1**2
    even = light_lm_s * 0.95 / absorbing_m2

    # The first bounce is not even: it comes from the ceiling. 6 % of a light that bounces twenty times.
    assert bounced == pytest.approx(even * (2 if receptor == "dome" else 1), rel=0.06)


def mirrored(v: Array) -> Array:
    """Left and right exchanged."""
    return np.asarray(v * vec(-1, 1, 1))


def mirrored_scene(of: Scene) -> Scene:
    """The scene in a mirror; u is turned round so that fronts stay fronts."""
    panels = tuple(
        replace(
            p, centre_m=mirrored(p.centre_m), half_u_m=-mirrored(p.half_u_m), half_v_m=mirrored(p.half_v_m)
        )
        for p in of.panels
    )
    lamps = tuple(
        replace(
            e, centre_m=mirrored(e.centre_m), half_u_m=-mirrored(e.half_u_m), half_v_m=mirrored(e.half_v_m)
        )
        for e in of.emitters
    )
    solids = tuple(replace(s, centre_m=mirrored(s.centre_m)) for s in of.solids)
    points = tuple(
        replace(p, place_m=mirrored(p.place_m), direction=mirrored(p.direction)) for p in of.points
    )
    return Scene(panels, solids, lamps, points)


def crowded() -> Scene:
    """One of everything."""
    return scene(
        [
            panel("lap", vec(-0.1, -0.5, 0.75), vec(0.1, 0.3, 0.5), 1.2, 0.9, SILVER, Matte(0.04)),
            panel("fill", vec(-0.7, -0.3, 1.2), vec(0.7, 0.3, 0), 0.9, 1.2, Matte(0.85), Matte(0.04)),
            panel("sheet", vec(0.6, -0.6, 1.55), vec(-0.6, 0.6, -0.3), 0.8, 0.8, Translucent(0.5, 0.35)),
            panel(
                "net",
                vec(0.3, -0.5, 1.4),
                vec(0.6, -0.6, 0.3),
                0.3,
                0.3,
                Matte(0.05),
                role="net",
                straight=0.5,
            ),
            panel("brim", vec(0, 0.1, 1.3), UP, 0.3, 0.34, Matte(0.1), role="brim", outline="ellipse"),
        ],
        [
            lamp(centre=vec(1.0, -1.1, 1.8), size_m=0.2, emission=Beam(45.0)),
            lamp("strip", vec(-1.2, 1.0, 1.5), vec(1, -1, -0.2), 0.4, "octagon", Gridded(40.0)),
        ],
    )


def test_a_mirrored_set_reads_the_same() -> None:
    """Left and right exchanged, every reading stays, within what cuts and samples are worth."""
    straight, turned = solve(crowded()).total_lx_s, solve(mirrored_scene(crowded())).total_lx_s

    assert np.log2(turned / straight) == pytest.approx(0, abs=0.02)


def test_order_does_not_matter() -> None:
    """Panels, solids, lamps and points in another order give the same light under the same names."""
    here = crowded()
    there = Scene(
        (*here.panels[:6], *here.panels[:5:-1]), here.solids[::-1], here.emitters[::-1], here.points[::-1]
    )
    one, other = solve(here), solve(there)
    e = [other.emitters.index(name) for name in one.emitters]
    p = [other.points.index(name) for name in one.points]
    s = [other.surfaces.index(name) for name in one.surfaces]

    assert other.direct_lx_s[np.ix_(e, p)] == pytest.approx(one.direct_lx_s, rel=1e-4)
    assert other.bounced_lx_s[np.ix_(e, p, s)] == pytest.approx(one.bounced_lx_s, rel=1e-3, abs=1e-4)


def test_same_scene_same_numbers() -> None:
    """Two evaluations agree to the last bit."""
    one, other = solve(crowded()), solve(crowded())

    assert (one.direct_lx_s == other.direct_lx_s).all()
    assert (one.bounced_lx_s == other.bounced_lx_s).all()


def test_lamps_add_up() -> None:
    """Each lamp is at full power on its own: leaving one out changes nothing of the other but its shadow."""
    both = crowded()
    far = replace(
        both.emitters[1], half_u_m=both.emitters[1].half_u_m * 1e-3, half_v_m=both.emitters[1].half_v_m * 1e-3
    )
    one = solve(replace(both, emitters=(both.emitters[0], far)))
    alone = solve(replace(both, emitters=both.emitters[:1]))

    assert one.direct_lx_s[0] == pytest.approx(alone.direct_lx_s[0], rel=1e-6)
    assert np.log2(one.total_lx_s[0] / alone.total_lx_s[0]) == pytest.approx(0, abs=5e-3)


def test_luminance_scales_and_power_is_ignored() -> None:
    """Light is at full power and goes with luminance."""
    here = scene()
    bright = replace(here.emitters[0], luminance_cd_s_m2=3000.0, power=0.25)

    assert solve(replace(here, emitters=(bright,))).total_lx_s == pytest.approx(3 * solve(here).total_lx_s)


@pytest.mark.parametrize("seed", range(10))
def test_a_black_blocker_never_raises_a_reading(seed: int) -> None:
    """Wherever a black panel is put, no point reads more than before."""
    rng = np.random.default_rng(seed)
    here = crowded() if seed % 2 else scene()
    place = np.array([rng.uniform(-1.2, 1.2), rng.uniform(-1.8, -0.5), rng.uniform(0.4, 2.0)])
    width_m, height_m = rng.uniform(0.2, 0.9, 2)
    flag = panel("flag", place, rng.normal(size=3), width_m, height_m, BLACK, role="blocker")
    before = solve(here)
    after = solve(replace(here, panels=(*here.panels, flag)))

    # of single precision
    assert (after.direct_lx_s <= before.direct_lx_s * (1 + 1e-6)).all()
    assert (after.total_lx_s <= before.total_lx_s * (1 + 1e-6)).all()


HARD: dict[str, list[Panel]] = {
    "sweep just above the floor": [
        panel("sweep", vec(0, 0.5, 0.003), UP, 2.0, 2.0, WHITE, role="backdrop"),
        panel("sheet", vec(0, 1.5, 1.2), vec(0, -1, 0), 2.0, 2.4, WHITE, role="backdrop"),
    ],
    "panel on the wall": [panel("poster", vec(0, 2.25, 1.2), vec(0, -1, 0), 1.0, 1.0, WHITE)],
    "panel a millimetre off the wall": [panel("poster", vec(0, 2.249, 1.2), vec(0, -1, 0), 1, 1, WHITE)],
    "panel that stands on the floor": [panel("card", vec(-0.6, 0, 0.6), vec(1, 0, 0), 1.0, 1.2, SILVER)],
    "panel partly in the body": [panel("seat", vec(0, 0.1, 0.6), UP, 0.5, 0.5, WHITE, role="seat")],
    "panel through the head": [
        panel("brim", vec(0, 0.1, 1.25), UP, 0.5, 0.5, WHITE, role="brim", outline="ellipse")
    ],
    "two panels crossing": [
        panel("one", vec(-0.5, -0.5, 1.2), vec(1, 0.2, 0), 0.8, 0.8, WHITE),
        panel("two", vec(-0.5, -0.5, 1.2), vec(0.2, 1, 0), 0.8, 0.8, SILVER),
    ],
    "two panels in one plane": [
        panel("one", vec(-0.6, 0, 1.2), vec(1, 0, 0), 0.8, 0.8, WHITE),
        panel("two", vec(-0.6, 0.2, 1.2), vec(1, 0, 0), 0.8, 0.8, SILVER),
    ],
    "panel through a wall": [panel("card", vec(-1.5, 0, 1.2), vec(0.2, -1, 0), 1.0, 1.0, WHITE)],
    "panel close to a point": [panel("card", vec(-0.16, 0.0, 1.2), vec(1, -0.5, 0), 0.6, 0.6, WHITE)],
    "sheet on the lamp": [
        panel("sheet", vec(0.79, -0.885, 1.69), vec(-0.8, 0.9, -0.5), 1, 1, Translucent(0.5, 0.35))
    ],
}


@pytest.mark.parametrize("name", HARD)
def test_awkward_places_stay_sane(name: str) -> None:
    """Whatever stands badly, light is a number and not below 0."""
    for quality in (ANSWER, SCAN):
        transport = solve(scene(HARD[name]), quality)

        assert np.isfinite(transport.bounced_lx_s).all()
        assert (transport.bounced_lx_s >= 0).all()
        assert (transport.direct_lx_s >= 0).all()
        assert (transport.total_lx_s[:, :4] > 0).all()


LAMPS: dict[str, Emitter] = {
    "grazing a wall": lamp(
        centre=vec(-1.49, 0, 1.2), normal=vec(0, -1, 0), size_m=0.015, emission=Beam(30.0)
    ),
    "flat on the ceiling": lamp(centre=vec(0, -0.5, 2.39), normal=vec(0, 0, -1)),
    "at the ceiling": lamp(centre=vec(0, -0.5, 2.2), normal=vec(0, 0, 1), size_m=0.2, emission=Beam(30.0)),
    "in a wall": lamp(centre=vec(1.5, 0, 1.2), normal=vec(-1, -0.3, 0)),
    "outside": lamp(centre=vec(2.5, 0, 1.2), normal=vec(-1, -0.3, 0)),
    "in the body": lamp(centre=vec(0, 0.14, 0.8), normal=vec(0, -1, 0), size_m=0.1),
}


@pytest.mark.parametrize("name", LAMPS)
def test_awkward_lamps_stay_sane(name: str) -> None:
    """Wherever the lamp is, light is a number and not below 0; from outside the room there is none."""
    transport = solve(scene(lamps=[LAMPS[name]]))

    assert np.isfinite(transport.total_lx_s).all()
    assert (transport.total_lx_s >= 0).all()
    if name in ("outside", "in the body"):
        assert transport.total_lx_s.max() == 0


def test_point_in_a_solid_or_without_lamp_reads_nothing() -> None:
    """A point inside a solid sees nothing; a scene without a lamp has rows for none."""
    here = scene()
    inside = replace(here, points=(point("inside", here.solids[0].centre_m, UP, "dome"),))

    assert solve(inside).total_lx_s.tolist() == [[0.0]]
    assert solve(replace(here, emitters=())).total_lx_s.shape == (0, 5)
    assert solve(replace(here, points=())).total_lx_s.shape == (1, 0)


def test_empty_room_without_bodies() -> None:
    """A bare room with a lamp and a meter on its axis, as an output reading is taken: more than direct light
    alone, and all the more the lighter the walls.
    """
    key = lamp(centre=vec(0, 1, 1.4), normal=vec(0, -1, 0))
    meter = point("meter", vec(0, 0, 1.4), vec(0, 1, 0), "dome")
    readings = [
        solve(Scene(room(Matte(r)), (), (key,), (meter,))).total_lx_s[0, 0] for r in (0.0, 0.2, 0.5, 0.8)
    ]

    assert readings == sorted(readings)
    assert readings[0] == pytest.approx(solve(Scene((), (), (key,), (meter,))).direct_lx_s[0, 0])


def test_names_and_shapes() -> None:
    """A transport names its axes: emitters, points, then panels and solids."""
    here = crowded()
    transport = solve(here, SCAN)

    assert transport.emitters == ("key", "strip")
    assert transport.points[0] == "left cheek"
    assert transport.surfaces[6:] == ("lap", "fill", "sheet", "net", "brim", "head", "neck", "torso")
    assert transport.direct_lx_s.shape == (2, 5)
    assert transport.bounced_lx_s.shape == (2, 5, 14)


def test_the_head_hides_half_of_a_dome() -> None:
    """A dome on a large black solid's skin keeps its front half alone: of even light all around (2 on a dome
    for 1 on a flat receptor) 1.5 is left.
    """
    walls = room(Matte(0.95), size=vec(6, 6, 6))
    black = Ellipsoid("head", "head", 0, vec(0, 0, 0.5), vec(0.4, 0.4, 0.4), np.eye(3), Matte(0.0))
    key = lamp(centre=vec(0, 0, 3.5), normal=UP, size_m=0.2)
    chin = vec(0, 0, 0.9005)
    points = (point("dome", chin, UP, "dome"), point("flat", chin, UP))
    dome, flat = solve(Scene(walls, (black,), (key,), points)).bounced_lx_s.sum(axis=2)[0]

    # Light is not quite even, the ceiling being lit: 5 %.
    assert dome / flat == pytest.approx(1.5, rel=0.05)


def test_sitter_shadows_and_returns_light() -> None:
    """A white body brings light under the chin that a black one does not, and no body hides."""
    solids, _ = sitter()
    here = scene()
    black, white = (
        solve(replace(here, solids=tuple(replace(s, material=Matte(r)) for s in solids))) for r in (0.0, 0.8)
    )
    chin = black.points.index("under chin")

    assert white.total_lx_s[0, chin] > 1.05 * black.total_lx_s[0, chin]
    assert white.direct_lx_s == pytest.approx(black.direct_lx_s)


def test_grey_reflectance_is_what_the_name_says() -> None:
    """A matte panel in even light that fills a receptor's view reads its reflectance of that light."""
    wall = room(GREY, size=vec(12, 12, 8))
    card = panel("card", vec(0, 0, 1), UP, 4, 4, Matte(0.5), BLACK)
    key = replace(lamp(centre=vec(0, 0, 6), normal=vec(0, 0, -1), size_m=0.2), emission=Lambertian())
    down = point("meter", vec(0, 0, 1.04), vec(0, 0, -1))
    up = point("up", vec(0, 0, 1.04), UP)
    transport = solve(Scene((*wall, card), (), (key,), (down, up)))

    assert transport.total_lx_s[0, 0] / transport.total_lx_s[0, 1] == pytest.approx(0.5, rel=0.02)
