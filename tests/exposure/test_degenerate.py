"""Degenerate scenes: a fault with a name, or light that is a number; never neither."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from exposure.sets import GREY, WHITE, lamp, panel, point, room, scene, vec
from exposure.stagings import lamp_place, staging
from thirdstop.exposure.degenerate import degenerate
from thirdstop.exposure.meter import read
from thirdstop.exposure.predict import predict
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.transport import solve
from thirdstop.staging.staging import Scene

CARD = panel("fill", vec(-0.6, -0.2, 1.2), vec(1, 0.3, 0), 0.9, 1.2, WHITE)
NOWHERE = vec(float("nan"), 0, 0)


def flat_card(here: Scene) -> Scene:
    """A card without width."""
    return replace(here, panels=(*here.panels, replace(CARD, half_u_m=vec(0, 0, 0))))


def skew_card(here: Scene) -> Scene:
    """A card whose edges lie along each other."""
    return replace(here, panels=(*here.panels, replace(CARD, half_v_m=CARD.half_u_m)))


def faceless_lamp(here: Scene) -> Scene:
    """A lamp without a face."""
    return replace(here, emitters=(replace(here.emitters[0], half_v_m=vec(0, 0, 0)),))


def lost_lamp(here: Scene) -> Scene:
    """A lamp that is nowhere."""
    return replace(here, emitters=(replace(here.emitters[0], centre_m=NOWHERE),))


def dim_lamp(here: Scene) -> Scene:
    """A lamp whose luminance is no number."""
    return replace(here, emitters=(replace(here.emitters[0], luminance_cd_s_m2=float("inf")),))


def flat_head(here: Scene) -> Scene:
    """A head without depth."""
    return replace(here, solids=(replace(here.solids[0], semi_axes_m=vec(0.1, 0.0, 0.1)),))


def aimless_point(here: Scene) -> Scene:
    """A receptor without a direction."""
    return replace(here, points=(*here.points, replace(here.points[0], name="x", direction=vec(0, 0, 0))))


def lost_point(here: Scene) -> Scene:
    """A receptor that is nowhere."""
    return replace(here, points=(*here.points, replace(here.points[0], name="x", place_m=NOWHERE)))


def twins(here: Scene) -> Scene:
    """Two lamps of one name."""
    return replace(here, emitters=here.emitters * 2)


NAMED: dict[Callable[[Scene], Scene], str] = {
    flat_card: "'fill' has no size: 0.0000 × 1.2000 m",
    skew_card: "the edges of 'fill' are not square to each other",
    faceless_lamp: "'key' has no size: 0.9000 × 0.0000 m",
    lost_lamp: "'key' has no place",
    dim_lamp: "'key' has no luminance: inf",
    flat_head: "'head' has no size",
    aimless_point: "the measuring point 'x' has no direction of length 1",
    lost_point: "the measuring point 'x' has no place",
    twins: "2 lamps are called 'key'",
}


@pytest.mark.parametrize("spoilt", NAMED, ids=lambda case: case.__name__)
def test_degenerate_things_are_named(spoilt: Callable[[Scene], Scene]) -> None:
    """One thing is wrong and one is named, by the prediction too; nothing is computed."""
    here = spoilt(scene())

    assert list(degenerate(here)) == [NAMED[spoilt]]
    with pytest.raises(ValueError, match="^" + NAMED[spoilt].replace(".", r"\.").split(":")[0]):
        predict(staging(here, [lamp_place("key", 20)]))


def test_everything_wrong_is_named_at_once() -> None:
    """Three faults, one message."""
    with pytest.raises(ValueError, match=r"'fill' has no size.*; 'key' has no place; .*'x' has no direction"):
        predict(staging(aimless_point(lost_lamp(flat_card(scene()))), [lamp_place("key", 20)]))


def test_a_sound_scene_passes() -> None:
    """Nothing is found where nothing is wrong."""
    assert list(degenerate(scene([CARD]))) == []


FACING_AWAY = lamp(normal=vec(1, -1, 0.3))
STRANGE: dict[str, Scene] = {
    "two points in one place": replace(
        scene(), points=(*scene().points, replace(scene().points[0], name="same"))
    ),
    "two cards in one place": scene([CARD, replace(CARD, name="same")]),
    "a point on the lamp's face": replace(
        scene(), points=(*scene().points, point("on it", scene().emitters[0].centre_m, vec(0, -1, 0)))
    ),
    "a point on a card": replace(
        scene([CARD]), points=(*scene().points, point("on it", CARD.centre_m, vec(1, 0.3, 0)))
    ),
    "a lamp that faces away": scene([CARD], [FACING_AWAY]),
    "a lamp that faces away in a black room": scene([], [FACING_AWAY], room(replace(GREY, reflectance=0.0))),
    "a card inside the head": scene([replace(CARD, centre_m=scene().solids[0].centre_m)]),
}


@pytest.mark.parametrize("name", STRANGE)
def test_strange_scenes_read_as_numbers(name: str) -> None:
    """Things in each other and lamps that face away: every reading, ratio and click is a number."""
    here = staging(STRANGE[name], [lamp_place("key", None)])
    found = read(here, solve(here.scene, SCAN))
    numbers = [(r.lux_seconds, r.f_number, r.stops_from_key, r.band_stops) for r in found.readings.values()]

    assert np.isfinite(numbers).all()
    assert np.isfinite([found.ratio.ratio, found.ratio.band_stops, found.lamps[0].exact_click]).all()
    if "faces away" in name:
        assert found["left cheek"].budget.get("key", 0.0) == 0
        assert not 1 <= found.lamps[0].click <= found.lamps[0].clicks or "black" not in name
