"""Matte exchange: conservation, the white furnace and the integrating sphere."""

import numpy as np
import pytest

from exposure.sets import BLACK, panel, room, scene, vec
from thirdstop.exposure import exchange
from thirdstop.exposure.arranged import standing
from thirdstop.exposure.mesh import Patches
from thirdstop.exposure.quality import ANSWER
from thirdstop.exposure.returns import Returns, returns_of
from thirdstop.staging.materials import Matte
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array


def meshed(of: Scene) -> tuple[Patches, Returns, exchange.Exchange]:
    """A scene's patches, what they return, and who lights whom among them."""
    arranged = standing(of, ANSWER)
    patches = arranged.mesh.patches
    return patches, returns_of(patches, arranged.mesh.sides, of.solids), arranged.between


def factors_of(between: exchange.Exchange) -> Array:
    """Shape (p, p): illuminance of each patch for unit exitance of each."""
    return between.arriving(np.eye(len(between.area_m2))).T


def exchanged(returns: Returns, between: exchange.Exchange, direct: Array) -> Array:
    """All but direct illuminance, shape (p,), where no lobe throws any."""
    return np.asarray(exchange.solve(returns, between, direct[None], np.zeros((1, len(direct))))[0])


CARD = panel("card", vec(-0.6, -0.4, 1.1), vec(1, 0.5, 0), 1, 1, Matte(0.9), Matte(0.1))


def test_rows_are_closed() -> None:
    """In a closed room every patch sees something in every direction: its factors add up to 1."""
    patches, _, between = meshed(scene([CARD]))
    factors = factors_of(between)

    assert factors @ patches.stops_share == pytest.approx(1, abs=1e-5)
    # A patch's factor to itself takes what is left open, and may be a little under 0.
    assert (np.triu(factors, 1) >= 0).all()
    assert factors.diagonal().min() > -0.01


def test_light_goes_both_ways_alike() -> None:
    """Reciprocity: area × factor of any two patches is the same both ways."""
    patches, _, between = meshed(scene([CARD]))
    sent = patches.area_m2[:, None] * factors_of(between)

    # as pytest.approx has it, which takes a number at a time
    assert (np.abs(sent - sent.T) <= np.maximum(1e-5 * np.abs(sent.T), 1e-12)).all()


@pytest.mark.parametrize("reflectance", [0.18, 0.5, 0.8, 0.95, 0.99])
def test_integrating_sphere(reflectance: float) -> None:
    """Evenly lit walls of one reflectance light each other by ρ/(1 − ρ) (Goebel, Generalized Integrating-
    Sphere Theory: M = ρ/(1 − ρ(1 − f)) with no port), whatever stands between them.
    """
    head = scene(walls=room(Matte(reflectance)))
    solids = tuple(
        type(s)(s.name, s.part, 0, s.centre_m, s.semi_axes_m, s.axes, Matte(reflectance)) for s in head.solids
    )
    patches, returns, between = meshed(Scene(head.panels, solids, (), head.points))
    light = exchanged(returns, between, np.ones(len(patches.place_m)))

    assert light == pytest.approx(reflectance / (1 - reflectance), rel=2e-3)


def test_white_furnace() -> None:
    """Where every surface sends 1 − ρ of its own, exitance is 1 everywhere, for any mixture of ρ."""
    _, returns, between = meshed(scene([CARD]))
    reflectance = returns.indirect
    own = 1.0 - reflectance
    light = own
    for _ in range(400):
        light = own + reflectance * between.arriving(light[None])[0]

    assert light == pytest.approx(1, abs=2e-3)


def test_bounces_settle() -> None:
    """The quick way to the end of all bounces comes to the same as bouncing three hundred times."""
    patches, returns, between = meshed(scene([CARD]))
    direct = np.where(patches.side == 1, 1.0, 0.0)[None]
    none = np.zeros_like(direct)
    light = none
    for _ in range(300):
        light = between.arriving(returns.exitance(direct, light))

    assert exchange.solve(returns, between, direct, none) == pytest.approx(light, rel=1e-4)


def test_empty_room_keeps_its_energy() -> None:
    """What a lamp's light brings to the walls of an empty room is absorbed there, all of it."""
    patches, returns, between = meshed(Scene(room(Matte(0.5), Matte(0.7), Matte(0.2)), (), (), ()))
    direct = np.where(patches.side == 1, 1.0, 0.0)  # the ceiling lit evenly
    light = direct + exchanged(returns, between, direct)
    absorbed = float((light * (1 - returns.indirect)) @ patches.area_m2)

    assert absorbed == pytest.approx(float(direct @ patches.area_m2), rel=1e-3)


def test_factors_between_the_faces_of_a_room() -> None:
    """A room 3 × 4 × 2.7 m: floor to ceiling by Howell's C-11, to the walls by C-14, and the light of
    six even faces (floor 0.2, ceiling 0.7, walls 0.5) of which the ceiling glows.
    """
    patches, _, between = meshed(Scene(room(Matte(0.5), Matte(0.7), Matte(0.2), vec(3, 4, 2.7)), (), (), ()))
    face, area, among = patches.side, patches.area_m2, factors_of(between)
    factors = np.array(
        [
            [
                np.average(among[face == i][:, face == j].sum(axis=1), weights=area[face == i])
                for j in range(6)
            ]
            for i in range(6)
        ]
    )
    reflectance = np.array([0.2, 0.7, 0.5, 0.5, 0.5, 0.5])
    exitance = np.linalg.solve(np.eye(6) - reflectance[:, None] * factors, np.eye(6)[1])

    # Patches of 0.4 m by their middles: 1 % of a factor.
    assert factors[0] == pytest.approx(
        [0, 0.268419339, *[0.210123257] * 2, *[0.155667074] * 2], rel=0.01, abs=1e-3
    )
    expected = [0.087693737, 1.114077249, *[0.191040088] * 2, *[0.189972330] * 2]
    assert exitance == pytest.approx(expected, rel=0.005)


def test_black_back_returns_nothing() -> None:
    """A panel's sides are their own: the black back of a white card sends no light."""
    card = panel("card", vec(-0.6, 0, 1.1), vec(1, 0, 0), 1, 1, Matte(0.9), BLACK)
    patches, returns, _ = meshed(scene([card]))
    ones = np.ones((1, len(patches.place_m)))
    exitance = returns.exitance(ones, ones)[0]

    assert exitance[(patches.flat == 0) & (patches.normal[:, 0] > 0)] == pytest.approx(1.8)
    assert exitance[(patches.flat == 0) & (patches.normal[:, 0] < 0)] == pytest.approx(0)
