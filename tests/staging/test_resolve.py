import json

import numpy as np
import pytest

from staging.books import changed, demo, loaded, staged
from thirdstop.staging.resolve import stage
from thirdstop.staging.scene import scene_json
from thirdstop.staging.studio_check import check_studio


@pytest.mark.parametrize("slug", [one.slug for one in demo().recipes])
def test_every_demo_recipe_stages(slug: str) -> None:
    """The demo book has no fault, and its studio none either."""
    book = demo()
    one = next(each for each in book.recipes if each.slug == slug)
    staging, faults = stage(one.recipe, book.studio, one.marks, slug)

    assert (faults, check_studio(book.studio, book.studio_marks)) == ([], [])
    assert staging is not None
    assert [item.number for item in staging.items] == list(range(1, len(staging.items) + 1))


def test_the_room_closes_and_looks_inward() -> None:
    """Six panels whose fronts look at the middle of the room and whose areas are the room's."""
    staging = staged("borrowed-window")
    walls, room = staging.scene.panels[:6], staging.room
    middle = np.array([(room.left_m + room.right_m) / 2, (room.front_m + room.back_m) / 2, room.height_m / 2])
    area = sum(4 * np.linalg.norm(w.half_u_m) * np.linalg.norm(w.half_v_m) for w in walls)
    w, d, h = room.width_m, room.length_m, room.height_m

    assert all((middle - wall.centre_m) @ wall.normal > 0 for wall in walls)
    assert area == pytest.approx(2 * (w * d + w * h + d * h))


def test_unknown_gear_is_named_with_the_nearest() -> None:
    """A slip in a name is answered with the name that was meant."""
    staging, faults = changed("borrowed-window", ("shaper: round box 90", "shaper: round bx 90"))

    assert staging is None
    assert (faults[0].given, faults[0].write) == ("round bx 90", "round box 90")


def test_a_frontal_key_needs_two_named_points() -> None:
    """A ratio between the cheeks says nothing where the key is within 20° of the nose line."""
    staging, faults = changed("footlights", (", between: [forehead, under chin]", ""))

    assert staging is None
    assert "a ratio then needs 'between'" in faults[0].wrong


def test_all_faults_are_told_at_once() -> None:
    """Three things wrong are three faults, each on its own line."""
    staging, faults = changed(
        "borrowed-window",
        ("lamp: battery 400", "lamp: batery 400"),
        ("surface: white", "surface: whit"),
        ("sheet: mid-grey paper", "sheet: grey paper"),
    )

    assert staging is None
    assert len({fault.line for fault in faults}) == 3


def test_the_scene_is_plain_json() -> None:
    """Every number is finite, and the panels, solids, emitters and points are all there."""
    staging = staged("double-act")
    data = scene_json(staging.scene)
    text = json.dumps(data, allow_nan=False)

    assert json.loads(text) == data
    assert [len(data[key]) for key in ("panels", "solids", "emitters", "points")] == [
        len(getattr(staging.scene, key)) for key in ("panels", "solids", "emitters", "points")
    ]


def test_same_recipe_same_staging() -> None:
    """Staging twice gives the same scene to the last digit."""
    one, book = loaded("under-the-brim"), demo()
    first, second = (stage(one.recipe, book.studio, one.marks, one.slug)[0] for _ in range(2))

    assert first is not None
    assert second is not None
    assert scene_json(first.scene) == scene_json(second.scene)
