"""Lamps that shine into the lens."""

import pytest

from checks import samples
from thirdstop.checks import into_lens
from thirdstop.checks.findings import Finding
from thirdstop.staging.shapes import Gridded
from thirdstop.staging.vectors import unit, vec

LENS = samples.camera().lens_m


def _rim(turn: float, *more: samples.Thing, grid_deg: float | None = None) -> Finding:
    """A strip behind the sitter; turn 1 looks at the lens, 0 at the nose, −1 away from the lens."""
    centre = vec(0.9, 0.6, 1.6)
    to_lens, to_nose = unit(LENS - centre), unit(samples.NOSE - centre)
    toward = unit(turn * to_lens + (1 - abs(turn)) * to_nose)
    emission = Gridded(grid_deg) if grid_deg else None
    rim = samples.lamp("rim", centre, toward, 0.3, 0.9, "rectangle", emission, "accent")
    staging = samples.staging(samples.lamp(), rim, *more)
    return into_lens.run(staging, samples.readings())[1]


@pytest.mark.parametrize(("turn", "verdict"), [(1.0, "look"), (0.0, "look"), (-1.0, "pass")])
def test_direction_of_the_face(turn: float, verdict: str) -> None:
    """A diffusing face that looks at the lens, or across it, shines in; one that looks away doesn't."""
    assert _rim(turn).verdict == verdict


def test_grid_keeps_it_off() -> None:
    """Aimed at the nose the lens is 37° off its axis: a grid of 25° keeps it dark, one of 50° doesn't."""
    centre = vec(0.9, 0.6, 1.6)
    assert float(unit(LENS - centre) @ unit(samples.NOSE - centre)) == pytest.approx(0.7962, abs=1e-4)
    assert _rim(0.0, grid_deg=25.0).verdict == "pass"
    assert _rim(0.0, grid_deg=50.0).verdict == "look"


def test_usual_key_faces_away_from_the_lens() -> None:
    """A key in front of the sitter that looks at the nose does not shine back."""
    found = into_lens.run(samples.staging(), samples.readings())[0]
    assert found.verdict == "pass"


@pytest.mark.parametrize(("x_m", "verdict"), [(1.35, "look"), (1.40, "pass")])
def test_past_45_degrees_a_hood_is_counted_on(x_m: float, verdict: str) -> None:
    """A lamp 1.375 m before the lens and as far to its side stands 45° off the axis."""
    centre = LENS + vec(x_m, 1.375, 0.0)
    side = samples.lamp(centre_m=centre, normal=unit(LENS - centre), width_m=0.2, height_m=0.2)
    assert into_lens.run(samples.staging(side), samples.readings())[0].verdict == verdict


def test_beside_the_lens_is_no_flare() -> None:
    """A lamp behind the lens's plane can't reach its front."""
    beside = samples.lamp(centre_m=vec(0.5, -2.3, 1.8), normal=vec(0, 1, 0))
    assert into_lens.run(samples.staging(beside), samples.readings())[0].verdict == "pass"


def test_the_flag_that_is_named_does_it() -> None:
    """A black panel of the named size at the named place, square to the line, brings it under the limit."""
    centre = vec(0.9, 0.6, 1.6)
    toward = unit(samples.NOSE - centre)
    rim = samples.lamp("rim", centre, toward, 0.3, 0.9, "rectangle", role="accent")
    assert rim.emitter is not None
    staging = samples.staging(samples.lamp(), rim)
    wide, high = into_lens.flag_size_m(staging, rim.emitter)
    place = into_lens.flag_place_m(staging, rim.emitter)
    flag = samples.panel("blocker", "flag", place, toward, wide, high, samples.GREY)
    assert _rim(0.0, flag).verdict == "pass"


def test_similar_triangles() -> None:
    """Half-way to a point the flag is half the face; here 0.4 m of D, and the lens's 4 cm add their share."""
    rim = samples.lamp("rim", LENS + vec(0, 2.0, 0), vec(0, -1, 0), 0.5, 1.0, "rectangle")
    assert rim.emitter is not None
    wide, high = into_lens.flag_size_m(samples.staging(rim), rim.emitter)
    assert (wide, high) == pytest.approx((0.5 * 0.8 + 0.08 * 0.2, 1.0 * 0.8 + 0.08 * 0.2))
