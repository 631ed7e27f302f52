"""Matte exchange: conservation, the white furnace and the integrating sphere."""

import numpy as np
import pytest

from exposure.sets import BLACK, panel, room, scene, vec
from thirdstop.exposure import exchange
from thirdstop.exposure.mesh import Mesh, build
from thirdstop.exposure.quality import ANSWER
from thirdstop.exposure.sight import sight
from thirdstop.exposure.transport import blockers_of
from thirdstop.staging.materials import Matte
from thirdstop.staging.staging import Scene


def meshed(of: Scene) -> tuple[Mesh, exchange.Exchange]:
    """A scene's mesh, and who lights whom in it."""
    blockers = blockers_of(of)
    mesh = build(of, blockers, ANSWER)
    spots = sight(blockers, mesh.spots.place_m, mesh.spots.flat, mesh.spots.solid)
    elements = sight(blockers, mesh.place_m, mesh.on_flat, mesh.on_solid)
    return mesh, exchange.exchange(mesh, blockers, spots, elements)


def test_rows_are_closed() -> None:
    """In a closed room every patch sees something in every direction: its factors add up to 1."""
    mesh, between = meshed(scene([panel("card", vec(-0.6, -0.4, 1.1), vec(1, 0.5, 0), 1, 1, Matte(0.8))]))

    assert between.factors @ mesh.stops_share[mesh.starts] == pytest.approx(1, abs=1e-5)
    assert (between.factors >= 0).all()


def test_what_patches_send_arrives() -> None:
    """Areas × factors summed over receivers are the sender's area, less what goes to black ones."""
    mesh, between = meshed(scene())
    area = np.bincount(mesh.patch, mesh.area_m2)
    used, lost = between.used, np.setdiff1d(np.arange(len(area)), between.used)
    sent = area[used] - area[used] * between.factors[:, lost].sum(axis=1)

    # Rounds of scaling end on the receivers' side: a per mille is left open on the senders'.
    assert area[used] @ between.factors[:, used] == pytest.approx(sent, rel=2e-3)


@pytest.mark.parametrize("reflectance", [0.18, 0.5, 0.8, 0.95, 0.99])
def test_integrating_sphere(reflectance: float) -> None:
    """Evenly lit walls of one reflectance light each other by ρ/(1 − ρ) (Goebel, Generalized Integrating-
    Sphere Theory: M = ρ/(1 − ρ(1 − f)) with no port), whatever stands between them.
    """
    head = scene(walls=room(Matte(reflectance)))
    solids = tuple(
        type(s)(s.name, s.part, 0, s.centre_m, s.semi_axes_m, s.axes, Matte(reflectance)) for s in head.solids
    )
    mesh, between = meshed(Scene(head.panels, solids, (), head.points))
    light = exchange.solve(
        mesh, between, np.ones((1, len(mesh.place_m))), np.zeros((1, len(mesh.spots.patch)))
    )

    assert light[:, mesh.patch_matters] == pytest.approx(reflectance / (1 - reflectance), rel=2e-4)


def test_white_furnace() -> None:
    """Where every surface sends 1 − ρ of its own, exitance is 1 everywhere, for any mixture of ρ."""
    mesh, between = meshed(
        scene([panel("card", vec(-0.6, -0.4, 1.1), vec(1, 0.5, 0), 1, 1, Matte(0.9), Matte(0.1))])
    )
    reflectance = np.where(mesh.indirect_share > 0, mesh.indirect_share, 1.0)
    own = np.where(mesh.indirect_share > 0, (1 - reflectance) / reflectance, 0.0)[None]
    black = (mesh.indirect_share == 0).astype(
        float
    )  # the lamp's face: to be white hot it must send all of it
    thrown = between.arriving(mesh, black[None])
    light = exchange.solve(mesh, between, own, thrown)

    assert light[:, mesh.patch_matters] == pytest.approx(1, abs=1e-4)


def test_empty_room_keeps_its_energy() -> None:
    """What a lamp's light brings to the walls of an empty room is absorbed there, all of it."""
    walls = room(Matte(0.5), Matte(0.7), Matte(0.2))
    mesh, between = meshed(Scene(walls, (), (), ()))
    direct = np.where(mesh.surface == 1, 1.0, 0.0)[None]  # the ceiling lit evenly
    light = (
        direct + exchange.solve(mesh, between, direct, np.zeros((1, len(mesh.spots.patch))))[:, mesh.patch]
    )
    brought = float((direct * mesh.area_m2).sum())
    absorbed = float((light * (1 - mesh.indirect_share) * mesh.area_m2).sum())

    # Closed rows keep each receiver's sum, not each sender's: half a per cent is what that costs here.
    assert absorbed == pytest.approx(brought, rel=5e-3)


def test_factors_between_the_faces_of_a_room() -> None:
    """A room 3 × 4 × 2.7 m: floor to ceiling by Howell's C-11, to the walls by C-14, and the light of
    six even faces (floor 0.2, ceiling 0.7, walls 0.5) of which the ceiling glows.
    """
    mesh, between = meshed(Scene(room(Matte(0.5), Matte(0.7), Matte(0.2), vec(3, 4, 2.7)), (), (), ()))
    face = mesh.surface[mesh.starts]
    area = np.bincount(mesh.patch, mesh.area_m2)
    factors = np.array(
        [
            [
                np.average(between.factors[face == i][:, face == j].sum(axis=1), weights=area[face == i])
                for j in range(6)
            ]
            for i in range(6)
        ]
    )
    reflectance = np.array([0.2, 0.7, 0.5, 0.5, 0.5, 0.5])
    exitance = np.linalg.solve(np.eye(6) - reflectance[:, None] * factors, np.eye(6)[1])

    # Patches receive at their middles: 2 % of a factor.
    assert factors[0] == pytest.approx([0, 0.268419339, *[0.210123257] * 2, *[0.155667074] * 2], rel=0.02)
    expected = [0.087693737, 1.114077249, *[0.191040088] * 2, *[0.189972330] * 2]
    assert exitance == pytest.approx(expected, rel=0.01)


def test_black_back_returns_nothing() -> None:
    """A panel's sides are their own: the black back of a white card sends no light."""
    mesh, _ = meshed(scene([panel("card", vec(-0.6, 0, 1.1), vec(1, 0, 0), 1, 1, Matte(0.9), BLACK)]))
    direct = np.ones((1, len(mesh.place_m)))
    exitance = exchange.exitance(mesh, direct, np.ones((1, len(mesh.starts))))[0]
    card = mesh.surface == 6

    assert exitance[card & (mesh.normal[:, 0] > 0)] == pytest.approx(1.8)
    assert exitance[card & (mesh.normal[:, 0] < 0)] == pytest.approx(0)
