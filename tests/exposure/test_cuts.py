"""Walls are cut along what stands before them, and cells keep the light of their patches."""

import numpy as np
import pytest

from exposure.sets import GREY, WHITE, panel, room, vec
from thirdstop.exposure import gather
from thirdstop.exposure.arranged import standing
from thirdstop.exposure.cuts import divided
from thirdstop.exposure.quality import ANSWER
from thirdstop.exposure.sides import quarters, turned_quarters
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array

CUPBOARD = panel("cupboard", vec(-0.62, 2.2, 0.8), vec(0, -1, 0), 0.9, 1.6, GREY, role="fixed")
"""5 cm before the back wall of a room 3 × 4.5 m; its edges at x −1.07 and −0.17, and z 1.6 m."""

FAR = panel("screen", vec(-0.62, 1.2, 0.8), vec(0, -1, 0), 0.9, 1.6, GREY, role="fixed")


def extents(of: Scene) -> tuple[Array, Array]:
    """Least and greatest x and z of the patches of the back wall, shape (p, 2) each."""
    mesh = standing(of, ANSWER).mesh
    back = mesh.patches.place_m[:, 1] > 2.24
    place, quarters = mesh.patches.place_m[back], mesh.patches.quarter_m[back]
    half = 2 * np.abs(quarters - place[:, None]).max(axis=1)
    return (place - half)[:, [0, 2]], (place + half)[:, [0, 2]]


def straddling(of: Scene) -> int:
    """How many patches of the back wall lie across the line of one of the cupboard's edges."""
    low, high = extents(of)
    count = 0
    for axis, line in ((0, -1.07), (0, -0.17), (1, 1.6)):
        count += int(((low[:, axis] < line - 1e-6) & (high[:, axis] > line + 1e-6)).sum())
    return count


def test_a_wall_is_cut_along_what_stands_close_before_it() -> None:
    """No patch is half behind a cupboard; what stands a metre off cuts nothing."""
    assert straddling(Scene((*room(WHITE), CUPBOARD), (), (), ())) == 0
    assert straddling(Scene((*room(WHITE), FAR), (), (), ())) > 0


def test_patches_of_a_cut_wall_make_up_the_wall() -> None:
    """Cut or not, a wall has its area: 3 × 2.4 m."""
    low, high = extents(Scene((*room(WHITE), CUPBOARD), (), (), ()))

    assert (high - low).prod(axis=1).sum() == pytest.approx(3.0 * 2.4)
    assert (high - low).max() < ANSWER.room_patch_m + 1e-9


def test_lines_are_divided_evenly() -> None:
    """Between lines the gaps are equal and no larger than asked."""
    assert divided(np.array([-1.0, 0.2, 1.0]), 0.5) == pytest.approx([-1, -0.6, -0.2, 0.2, 0.6, 1])


def test_cells_keep_the_light_of_their_patches() -> None:
    """Even light stays even; where it bends, means over patches stay nearer to the patches' own than those of
    bells alone.
    """
    arranged = standing(Scene(room(WHITE), (), (), ()), ANSWER)
    mesh, cells = arranged.mesh, arranged.blends.cells
    even = np.ones((1, len(mesh.patches.side)))
    bent = np.exp(-(mesh.patches.place_m[None, :, 0] + 1.5))

    assert gather.cell_light(cells, mesh, even) == pytest.approx(1, abs=1e-5)
    bells = mesh.patch_means(gather.blended(cells, bent, len(mesh.cell_patch)))
    kept = mesh.patch_means(gather.cell_light(cells, mesh, bent))
    assert np.abs(kept - bent).max() < 0.5 * np.abs(bells - bent).max()


def test_places_by_which_a_cell_is_seen_lie_evenly_along_both_edges() -> None:
    """An edge that runs along a cell's own, wherever it is, hides its share of four places to an eighth; each
    stays within its own quarter.
    """
    bounds = np.array([[-1.0, 1.0, 0.0, 4.0], [0.2, 0.3, -1.0, -0.5]])
    quarter, turned = quarters(bounds), turned_quarters(bounds)
    u, v = (turned[:, k : k + 2].mean(axis=1).reshape(-1, 4) for k in (0, 2))

    assert np.sort(u) == pytest.approx(bounds[:, :1] + np.ptp(bounds[:, :2], axis=1)[:, None] * EIGHTHS)
    assert np.sort(v) == pytest.approx(bounds[:, 2:3] + np.ptp(bounds[:, 2:], axis=1)[:, None] * EIGHTHS)
    inside = [(quarter[:, k] <= at) & (at <= quarter[:, k + 1]) for k, at in ((0, u.ravel()), (2, v.ravel()))]
    assert np.all(inside)


EIGHTHS = np.array([1, 3, 5, 7]) / 8
