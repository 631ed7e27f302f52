"""What is kept from one evaluation serves the next: the light is the same to the last bit, and is found by
computing only what has changed.
"""

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from exposure.sets import WHITE, lamp, panel, point, room, scene, vec
from thirdstop.exposure import arranged, perturbed
from thirdstop.exposure.arrays import Single
from thirdstop.exposure.direct import direct_light
from thirdstop.exposure.kept import alike
from thirdstop.exposure.quality import ANSWER, ROUGH
from thirdstop.exposure.receivers import at_points
from thirdstop.exposure.shading import may_be_shaded
from thirdstop.exposure.sight import Blockers
from thirdstop.exposure.transport import Kept, solve
from thirdstop.staging.materials import Matte, Metallised, Translucent
from thirdstop.staging.shapes import Beam, Lambertian
from thirdstop.staging.staging import Scene
from thirdstop.typed import Array

CARD = panel("card", vec(-0.7, -0.3, 1.2), vec(1, 0.3, 0), 1.0, 0.8, WHITE)
FLAG = replace(panel("flag", vec(0.5, -0.6, 1.5), vec(1, -1, 0), 0.5, 0.4, Matte(0.05)), role="blocker")
NET = replace(
    panel("net", vec(0.4, -0.5, 1.4), vec(0.6, -0.8, 0.4), 0.6, 0.6, Matte(0.1)), role="net", straight=0.5
)
SHEET = panel("sheet", vec(0.45, -0.55, 1.5), vec(0.6, -0.8, 0.4), 0.7, 0.7, Translucent(0.5, 0.35))
SET = scene([CARD, FLAG, NET, SHEET])

Change = Callable[[Scene], Scene]
CHANGES: dict[str, Change] = {
    "nothing": lambda s: s,
    "card nearer": lambda s: perturbed.moved(s, "card", vec(0.1, 0, 0)),
    "flag turned": lambda s: perturbed.turned(s, "flag", vec(0, 0, 1), 20.0),
    "net moved": lambda s: perturbed.moved(s, "net", vec(0, 0.05, 0)),
    "net thinner": lambda s: perturbed.straighter(s, "net", 1.2),
    "sheet away": lambda s: replace(s, panels=tuple(p for p in s.panels if p.name != "sheet")),
    "card of silver": lambda s: replace(
        s,
        panels=tuple(
            replace(p, front=Metallised(0.8, 0.3, 0.25)) if p.name == "card" else p for p in s.panels
        ),
    ),
    "walls darker": lambda s: perturbed.reflectance_scaled(s, lambda p: p.role == "wall", 0.5),
    "skin darker": lambda s: perturbed.bodies_changed(s, lambda _: -0.1),
    "sheet opaque": lambda s: replace(
        s, panels=tuple(replace(p, front=WHITE, back=WHITE) if p.name == "sheet" else p for p in s.panels)
    ),
    "lamp moved": lambda s: replace(
        s, emitters=tuple(replace(e, centre_m=e.centre_m + vec(0, 0, 0.1)) for e in s.emitters)
    ),
    "lamp brighter": lambda s: replace(
        s, emitters=tuple(replace(e, luminance_cd_s_m2=2 * e.luminance_cd_s_m2) for e in s.emitters)
    ),
    "sitter moved": lambda s: perturbed.sitter_moved(s, 0, vec(0.05, 0, 0)),
    "meter turned": lambda s: perturbed.receptors_turned(s, 0, np.full(len(s.points), 10.0)),
    "panels in another order": lambda s: replace(s, panels=(*s.panels[:6], *reversed(s.panels[6:]))),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_light_is_the_same_whatever_is_kept(change: Change) -> None:
    """Each after another one, and after itself, as if it were the first: bit for bit."""
    kept, changed = Kept(), change(SET)
    solve(SET, ROUGH, kept)
    alone = solve(changed, ROUGH)

    for _ in range(2):
        after = solve(changed, ROUGH, kept)
        assert after.surfaces == alone.surfaces
        assert np.array_equal(after.direct_lx_s, alone.direct_lx_s)
        assert np.array_equal(after.bounced_lx_s, alone.bounced_lx_s)


@pytest.mark.parametrize("change", ["nothing", "card nearer", "card of silver"])
def test_points_read_alone_read_as_beside_all_others(change: str) -> None:
    """A set is cut up for all of its points, whichever are read; and one that is kept for some points is not
    taken for one with all.
    """
    kept, one = Kept(), CHANGES[change](SET)
    names = tuple(p.name for p in one.points)
    read_at = frozenset(names[1::2])
    rows = [k for k, name in enumerate(names) if name in read_at]
    some, every = solve(one, ROUGH, kept, read_at=read_at), solve(one, ROUGH, kept)

    assert 0 < len(read_at) < len(names)
    assert some.points == tuple(names[k] for k in rows)
    assert some.direct_lx_s == pytest.approx(every.direct_lx_s[:, rows], rel=1e-6)
    assert some.bounced_lx_s == pytest.approx(every.bounced_lx_s[:, rows], rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("name", ["lamp moved", "lamp narrower", "meter turned"])
def test_small_differences_are_those_of_the_whole(name: str) -> None:
    """A lamp or a receptor that is a little otherwise, in a set that stays cut up as it was: readings move as
    they do where each set is cut up for itself.
    """
    kept = Kept()
    fine = differences(SMALL[name], lambda s: solve(s, ANSWER, kept, SET).total_lx_s)
    rough = differences(SMALL[name], lambda s: solve(s, ROUGH, kept, SET).total_lx_s)
    alone = differences(SMALL[name], lambda s: solve(s, ANSWER).total_lx_s)

    assert fine == pytest.approx(alone, abs=0.004)
    assert rough == pytest.approx(alone, abs=0.03)  # what that quality says of itself
    assert np.abs(alone).max() > 0.03


SMALL: dict[str, Change] = {
    "lamp moved": lambda s: perturbed.moved(s, "key", vec(0.03, 0, 0.03)),
    "lamp narrower": lambda s: perturbed.beam_scaled(
        replace(s, emitters=tuple(replace(e, emission=Beam(50.0)) for e in s.emitters)), "key", 0.95
    ),
    "meter turned": lambda s: perturbed.receptors_turned(s, 0, np.full(len(s.points), 5.0)),
}


def differences(change: Change, total: Callable[[Scene], Array]) -> Array:
    """By how much readings move, in stops, shape (p,)."""
    return np.asarray(np.log2(total(change(SET)) / total(SET))[0])


def test_every_change_is_noticed() -> None:
    """No two of these sets are lit alike, but for the order in which panels are listed."""
    kept = Kept()
    totals = {name: solve(change(SET), ROUGH, kept).total_lx_s for name, change in CHANGES.items()}
    plain, again = totals.pop("nothing"), totals.pop("panels in another order")

    assert again == pytest.approx(plain, rel=1e-4)
    for name, total in totals.items():
        assert np.abs(total / plain - 1.0).max() > 1e-4, name


OF_OUTPUT = {"luminance_cd_s_m2", "power"}
OTHER: dict[type, Callable[[Any], Any]] = {
    str: lambda was: was + " too",
    int: lambda was: was + 1,
    float: lambda was: was + 0.125,
    type(None): lambda _: 1,
    np.ndarray: lambda was: was + 0.125,
    Matte: lambda was: replace(was, reflectance=was.reflectance / 2),
    Lambertian: lambda _: Beam(20.0),
}


@pytest.mark.parametrize("kind", ["panels", "solids", "emitters", "points"])
def test_scenes_are_alike_where_only_the_lamps_output_differs(kind: str) -> None:
    """Each field of each thing is told, those of output are not."""
    before = scene([CARD])
    things = getattr(before, kind)
    assert alike(before) == alike(scene([CARD]))
    for field in fields(things[-1]):
        was = getattr(things[-1], field.name)
        other = replace(things[-1], **{field.name: OTHER[type(was)](was)})
        changed = replace(before, **{kind: (*things[:-1], other)})
        assert (alike(changed) == alike(before)) == (field.name in OF_OUTPUT), field.name


def test_what_stays_is_not_made_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """A card that moves costs no kernel of the room anew; a wall that is painted costs no kernel at all."""
    made: list[str] = []

    def noting(name: str, make: Callable[..., Single]) -> Callable[..., Single]:
        def noted(*given: object) -> Single:
            made.append(name)
            return make(*given)

        return noted

    for name in ("kernel_between", "extended"):
        monkeypatch.setattr(arranged, name, noting(name, getattr(arranged, name)))
    kept = Kept()
    solve(SET, ROUGH, kept)
    solve(CHANGES["card nearer"](SET), ROUGH, kept)
    solve(CHANGES["walls darker"](SET), ROUGH, kept)

    assert made == ["kernel_between", "extended", "extended"]


def test_all_that_a_panel_shades_is_found() -> None:
    """Receivers all over the room: wherever a panel takes some of the lamp's light, it was said that it may,
    and not of too many others.
    """
    rng = np.random.default_rng(5)
    key = lamp(centre=vec(0.9, -1.2, 1.9), normal=vec(-0.9, 1.2, -0.7), size_m=0.9)
    places = rng.uniform([-1.4, -2.2, 0.1], [1.4, 2.2, 2.3], (400, 3))
    looks = [point(str(k), place, key.centre_m - place) for k, place in enumerate(places)]
    needless = []
    for _ in range(12):
        centre, normal = rng.uniform([-1, -1.5, 0.5], [1.2, 1, 2.4]), rng.normal(size=3)
        width_m, height_m = rng.uniform(0.1, 1.5, 2)
        flag = panel("flag", centre, normal, width_m, height_m, Matte(0.05))
        walls = tuple(room(Matte(0.5)))
        bare, with_flag = Blockers((key,), (), walls), Blockers((key, flag), (), walls)
        before, after = at_points(tuple(looks), bare), at_points(tuple(looks), with_flag)
        taken = direct_light(key, bare, before, 987) - direct_light(key, with_flag, after, 987)
        may = may_be_shaded(with_flag, 1, key, after.seen)

        assert may[taken > 1e-9].all()
        needless.append((may & (taken <= 1e-9)).mean())
    assert np.mean(needless) < 0.2
