"""Reflections in glasses: tilt, base curve, and both sides of the margin."""

import math

import pytest

from checks import samples
from thirdstop.checks import glare
from thirdstop.checks.findings import Finding
from thirdstop.checks.mirror import mirrored
from thirdstop.staging.materials import Material, Matte
from thirdstop.staging.staging import Staging
from thirdstop.staging.vectors import direction_at, elevation_of, unit, vec

EYES_MIDDLE = vec(0.0, 0.02, 1.22)


@pytest.mark.parametrize("tilt_deg", [5.0, 8.0, 10.0])
def test_flat_lens_sends_a_level_ray_down_by_twice_the_tilt(tilt_deg: float) -> None:
    """A front tilted down by τ mirrors a level ray to −2τ: 8° to −16°."""
    lens = glare.lens_front(samples.sitter(glasses="glasses", tilt_deg=tilt_deg, dioptre=0.0), 0)
    found = mirrored(vec(0, 1, 0)[None, :], lens.normals)
    assert [elevation_of(one) for one in found] == pytest.approx([-2 * tilt_deg] * len(lens.normals))


# Radius of a front curve with tooling index 1.53: 530 mm over dioptres.
@pytest.mark.parametrize(("dioptre", "radius_mm"), [(2, 265.0), (4, 132.5), (6, 88.333), (8, 66.25)])
def test_radius_of_the_base_curve(dioptre: float, radius_mm: float) -> None:
    """2 to 8 dioptres."""
    assert glare.front_radius_m(dioptre) * 1000 == pytest.approx(radius_mm, abs=1e-3)


def test_curve_spreads_the_reflection() -> None:
    """At 25 mm from the middle a 4 D front is turned by asin(25/132.5) = 10.9°, so it mirrors 21.8° aside."""
    who = samples.sitter(glasses="glasses", tilt_deg=0.0, dioptre=4.0)
    lens = glare.lens_front(who, 0)
    turned = math.degrees(math.acos(float((lens.normals @ who.forward).min())))
    corner = math.degrees(math.asin(math.hypot(25, 18) / 132.5))
    assert turned == pytest.approx(corner, abs=1e-9)
    edge = lens.normals[(abs(lens.normals @ who.up) < 1e-9)]
    assert math.degrees(math.acos(float((edge @ who.forward).min()))) == pytest.approx(10.876, abs=1e-3)


def _staging(
    elevation_deg: float, bearing_deg: float = 0.0, dioptre: float = 0.0, size_m: float = 0.02
) -> Staging:
    """Glasses, flat unless told, and a small face at that direction from the eyes, looking at them."""
    centre = EYES_MIDDLE + 1.2 * direction_at(bearing_deg, elevation_deg)
    key = samples.lamp(centre_m=centre, normal=unit(EYES_MIDDLE - centre), width_m=size_m, height_m=size_m)
    who = samples.sitter(glasses="glasses", dioptre=dioptre)
    return samples.staging(key, sitters=[who], view=samples.camera(height_m=1.22))


def _finding(staging: Staging) -> Finding:
    return glare.run(staging, samples.readings())[0]


def test_lamp_in_the_mirror_direction_shows() -> None:
    """16° below eye level a lamp straight ahead shows in flat lenses tilted by 8°."""
    found = _finding(_staging(-16.0))
    assert found.verdict == "look"
    assert "the lamp 'key' covers" in found.text


def test_lamp_above_is_off_by_elevation_and_twice_the_tilt() -> None:
    """A lamp at e = 20° is e + 2τ = 36° off the mirror direction, less what the lens's own height takes.

    18 mm of half height at 1.9 and 1.2 m turn the rays by up to 0.5° and 0.9°.
    """
    found = glare.reflections(_staging(20.0), _staging(20.0).sitters[0])
    assert min(one.margin_deg for one in found) == pytest.approx(36.0, abs=2.0)


@pytest.mark.parametrize(("elevation", "verdict"), [(-9.5, "look"), (-8.0, "pass")])
def test_five_degrees(elevation: float, verdict: str) -> None:
    """At the lens's top e + 16° − 0.54° − 0.86° − 0.5° (its height twice, the face) is 5° at e = −9.1°."""
    assert _finding(_staging(elevation)).verdict == verdict


def test_curved_lens_catches_more() -> None:
    """25° to the side and 10° down flat lenses show nothing, 6 D ones do."""
    assert _finding(_staging(-10.0, 25.0)).verdict == "pass"
    assert _finding(_staging(-10.0, 25.0, dioptre=6.0)).verdict == "look"


def test_no_glasses_no_finding() -> None:
    """Without glasses the check has nothing to say."""
    assert glare.run(samples.staging(), samples.readings()) == []


def test_low_card_shows_and_black_one_does_not() -> None:
    """A white lap card in the mirror direction is a source; a black panel is none."""
    centre = EYES_MIDDLE + 0.6 * direction_at(0, -25)
    who = samples.sitter(glasses="glasses")
    for material, verdict in ((samples.WHITE, "look"), (glare_black(), "pass")):
        card = samples.panel(
            name="lap card",
            centre_m=centre,
            normal=unit(EYES_MIDDLE - centre),
            width_m=0.6,
            height_m=0.4,
            material=material,
        )
        key = samples.lamp(centre_m=EYES_MIDDLE + 1.2 * direction_at(50, 40), width_m=0.2, height_m=0.2)
        staging = samples.staging(key, card, sitters=[who])
        assert _finding(staging).verdict == verdict


def glare_black() -> Material:
    """Black foam board."""
    return Matte(0.04)


def test_a_blocker_takes_it_away() -> None:
    """A flag between lamp and glasses takes the reflection."""
    flag = samples.panel(
        "blocker", "flag", EYES_MIDDLE + 0.6 * direction_at(0, -16), width_m=0.4, height_m=0.4
    )
    centre = EYES_MIDDLE + 1.2 * direction_at(0, -16)
    key = samples.lamp(centre_m=centre, normal=unit(EYES_MIDDLE - centre), width_m=0.02, height_m=0.02)
    who = samples.sitter(glasses="glasses", dioptre=0.0)
    staging = samples.staging(key, flag, sitters=[who], view=samples.camera(height_m=1.22))
    assert all(one.share == 0 for one in glare.reflections(staging, who) if one.source == "key")
