"""Visibility by matrix products against plain ray tests."""

import numpy as np
import pytest

from exposure.sets import BLACK, panel, unit, vec
from thirdstop.exposure.sight import Blockers, pair_transmission, sight, surely_hidden, transmission
from thirdstop.staging.materials import Matte
from thirdstop.staging.shapes import Ellipsoid, Outline
from thirdstop.typed import Array, Mask


def places(count: int, seed: int) -> Array:
    """Places in a box of 2 m about the origin; the same for the same seed."""
    return np.random.default_rng(seed).uniform(-1, 1, (count, 3))


def turned() -> Array:
    """Some axes, orthonormal and right-handed."""
    a, b = unit(vec(1, 2, 0.5)), vec(0, 0, 1)
    side = unit(np.cross(a, b))
    return np.stack([a, side, np.cross(a, side)], axis=1)


def meets_ellipsoid(solid: Ellipsoid, p: Array, q: Array) -> Mask:
    """Whether segments meet a solid: the quadratic of the segment in the solid's own axes."""
    a = (p - solid.centre_m) @ solid.axes / solid.semi_axes_m
    d = (q - p) @ solid.axes / solid.semi_axes_m
    dd, ad, aa = (d * d).sum(1), (a * d).sum(1), (a * a).sum(1) - 1
    root = ad**2 - dd * aa
    first = (-ad - np.sqrt(np.maximum(root, 0))) / dd
    last = (-ad + np.sqrt(np.maximum(root, 0))) / dd
    return np.asarray((root > 0) & (first < 1) & (last > 0))


@pytest.mark.parametrize("semi_axes", [(0.5, 0.5, 0.5), (0.2, 0.5, 0.3), (0.05, 0.6, 0.1)])
def test_ellipsoid(semi_axes: tuple[float, float, float]) -> None:
    """A solid blocks exactly the segments that meet it, those that begin inside among them."""
    solid = Ellipsoid("head", "head", 0, vec(0.1, -0.2, 0.1), np.array(semi_axes), turned(), Matte(0.4))
    blockers = Blockers((), (solid,))
    p, q = places(4000, 1), places(4000, 2)
    passed = pair_transmission(blockers, sight(blockers, p), sight(blockers, q))

    assert 0.02 < meets_ellipsoid(solid, p, q).mean() < 0.9
    assert (passed == 0) == pytest.approx(meets_ellipsoid(solid, p, q))


def inside(outline: Outline, u: Array, v: Array) -> Mask:
    """Whether parameters lie inside an outline."""
    if outline == "ellipse":
        return np.asarray(u * u + v * v < 1)
    box = (abs(u) < 1) & (abs(v) < 1)
    return np.asarray(box & (abs(u) + abs(v) < np.sqrt(2)) if outline == "octagon" else box)


@pytest.mark.parametrize("outline", ["rectangle", "ellipse", "octagon"])
def test_flat_face(outline: Outline) -> None:
    """A face blocks exactly the segments whose crossing of its plane lies inside its outline."""
    face = panel("flag", vec(0.1, 0.1, -0.1), vec(1, 0.5, 0.3), 1.2, 0.9, BLACK, outline=outline)
    blockers = Blockers((face,), ())
    p, q = places(4000, 3), places(4000, 4)
    hp, hq = (p - face.centre_m) @ face.normal, (q - face.centre_m) @ face.normal
    at = p + (hp / (hp - hq))[:, None] * (q - p) - face.centre_m
    u = at @ face.half_u_m / (face.half_u_m @ face.half_u_m)
    v = at @ face.half_v_m / (face.half_v_m @ face.half_v_m)
    expected = (hp * hq < 0) & inside(outline, u, v)
    passed = pair_transmission(blockers, sight(blockers, p), sight(blockers, q))

    assert 0.1 < expected.mean() < 0.9
    assert (passed == 0) == pytest.approx(expected)


def test_all_pairs_agree_with_pairs() -> None:
    """The test of all rows with all columns and the test of single pairs give the same, nets among them."""
    blockers = Blockers(
        (
            panel("net", vec(0, 0, 0), vec(1, 0, 0), 1, 1, BLACK, straight=0.5),
            panel("flag", vec(0.2, 0, 0), vec(1, 0.2, 0), 0.8, 1, BLACK, outline="octagon"),
            panel("brim", vec(0, 0.1, 0.3), vec(0, 0, 1), 0.8, 1, BLACK, outline="ellipse"),
        ),
        (Ellipsoid("head", "head", 0, vec(0, 0.3, 0), vec(0.3, 0.2, 0.2), np.eye(3), Matte(0.4)),),
    )
    rows, columns = sight(blockers, places(90, 5)), sight(blockers, places(70, 6))
    i, j = np.divmod(np.arange(90 * 70), 70)
    pairs = pair_transmission(blockers, rows[i], columns[j]).reshape(90, 70)

    assert set(np.unique(pairs)) == {0.0, 0.5, 1.0}
    assert transmission(blockers, rows, columns) == pytest.approx(pairs)


def test_what_is_surely_hidden_is_hidden() -> None:
    """Where all corners of a face are hidden by one thing, so is every place on it; most of what is hidden is
    found so.
    """
    blockers = Blockers(
        (
            panel("flag", vec(0.2, 0.1, 0), vec(1, 0.2, 0), 0.8, 1, BLACK, outline="octagon"),
            panel("net", vec(-0.2, 0, 0), vec(1, 0, 0), 2, 2, BLACK, straight=0.5),
        ),
        (Ellipsoid("head", "head", 0, vec(0, -0.4, 0), vec(0.3, 0.2, 0.3), np.eye(3), Matte(0.4)),),
    )
    corners = vec(0.9, 0, 0.1) + 0.1 * np.array([(0, 1, 1), (0, -1, 1), (0, -1, -1), (0, 1, -1)])
    spread = np.random.default_rng(3).dirichlet(np.ones(4), 400)
    rows = sight(blockers, places(3000, 7))
    hidden = surely_hidden(blockers, rows, sight(blockers, corners))
    passed = transmission(blockers, rows, sight(blockers, spread @ corners))

    assert (passed[hidden] == 0).all()
    assert 0.8 < hidden.sum() / (passed == 0).all(axis=1).sum() <= 1.0


def test_own_surface_does_not_block() -> None:
    """A place on a solid sees what is over its horizon, and one on a panel sees both of its sides' spaces."""
    head = Ellipsoid("head", "head", 0, vec(0, 0, 0), vec(0.3, 0.2, 0.2), np.eye(3), Matte(0.4))
    card = panel("card", vec(0, -1, 0), vec(0, 1, 0), 1, 1, BLACK)
    blockers = Blockers((card,), (head,))
    on_head = sight(blockers, np.array([[0.3, 0, 0]]), on_solid=np.array([0]))
    on_card = sight(blockers, np.array([[0.0, -1, 0]]), on_flat=np.array([0]))
    far = sight(blockers, np.array([[2.0, 0, 0], [-2, 0, 0], [0, -2, 0], [0.4, -0.5, 0]]))

    assert transmission(blockers, on_head, far).tolist() == [[1, 0, 0, 1]]
    assert transmission(blockers, on_card, far).tolist() == [[1, 1, 1, 1]]


def test_outside_the_room_sees_nothing() -> None:
    """What lies behind a wall is seen by nobody."""
    wall = panel("wall", vec(0, 1, 0), vec(0, -1, 0), 2, 2, BLACK)
    blockers = Blockers((), (), (wall,))
    seen = sight(blockers, np.array([[0.0, 0, 0], [0, 1.5, 0]]))

    assert transmission(blockers, seen, seen).tolist() == [[1, 0], [0, 0]]
    assert pair_transmission(blockers, seen[np.array([0, 0])], seen).tolist() == [1, 0]
