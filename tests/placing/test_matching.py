"""The same picture for another sitter, in another room, mirrored."""

from dataclasses import replace

import pytest

from placing.books import changed
from staging.books import demo
from thirdstop.book.book import LoadedRecipe
from thirdstop.book.quantities import Length, Share
from thirdstop.book.studio import Studio
from thirdstop.errors import UsageError
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.transport import solve
from thirdstop.placing.matching import Wish, key_elevation_deg, match
from thirdstop.placing.mirroring import mirrored, mirrored_words
from thirdstop.staging.resolve import stage
from thirdstop.staging.scene import scene_json
from thirdstop.staging.staging import Staging

pytestmark = pytest.mark.usefixtures("without_bands")


def staged(one: LoadedRecipe, studio: Studio) -> Staging:
    """Staged and charged."""
    staging, faults = stage(one.recipe, studio, one.marks)
    assert staging is not None, faults
    return charge(staging)


def readings(staging: Staging) -> Readings:
    """At the accuracy of what is printed."""
    return read(staging, solve(staging.scene))


@pytest.mark.parametrize("slug", [one.slug for one in demo().recipes])
def test_mirrored_twice_a_recipe_is_staged_as_it_was(slug: str) -> None:
    """Every recipe of the demo: the same scene to the last digit that is printed."""
    one, studio = changed(slug), demo().studio
    twice = replace(one, recipe=mirrored(mirrored(one.recipe, studio), studio))

    assert scene_json(staged(twice, studio).scene) == scene_json(staged(one, studio).scene)


@pytest.mark.parametrize("slug", ["attic", "footlights", "velvet", "double-act"])
def test_in_a_room_that_is_its_own_mirror_image_the_mirrored_set_up_reads_the_same(slug: str) -> None:
    """Left and right walls alike and nothing fixed: by symmetry each cheek reads what the other one read."""
    one, studio = changed(slug), demo().studio
    surfaces = studio.room.surfaces.model_copy(update={"left_wall": Share(0.5), "right_wall": Share(0.5)})
    room = studio.room.model_copy(update={"surfaces": surfaces, "fixed": [], "doors": []})
    even = studio.model_copy(update={"room": room})
    before = readings(staged(one, even))
    after = readings(staged(replace(one, recipe=mirrored(one.recipe, even)), even))

    assert after.ratio.ratio == pytest.approx(before.ratio.ratio, rel=0.02)
    for name, reading in before.readings.items():
        other = after[mirrored_words(name, set())]
        assert other.stops_from_key == pytest.approx(reading.stops_from_key, abs=0.03), name


def test_words_are_mirrored_and_names_are_not() -> None:
    """A card may be called 'left card'."""
    assert mirrored_words("left cheek", set()) == "right cheek"
    assert mirrored_words("between key and left wall", set()) == "between key and right wall"
    assert mirrored_words("between left card and face", {"left card"}) == "between left card and face"
    assert mirrored_words("backdrop left edge", set()) == "backdrop right edge"


def test_a_sitter_with_a_side_in_the_name_keeps_it() -> None:
    """'right one nose' is still that one's nose, and the cheek alone changes sides."""
    assert mirrored_words("right one nose", {"key"}) == "right one nose"
    assert mirrored_words("between key and right one left cheek", {"key"}) == (
        "between key and right one right cheek"
    )


def test_a_pair_named_by_sides_can_be_mirrored() -> None:
    """Its key aims at the one called 'right one' on either side of the room."""
    one, studio = changed("double-act"), demo().studio
    assert isinstance(one.recipe.subject, list)
    first, far = one.recipe.subject
    named = one.recipe.model_copy(
        update={
            "subject": [first, far.model_copy(update={"name": "right one"})],
            "lights": [one.recipe.lights[0].model_copy(update={"aim": "right one nose"})],
            "cards": [one.recipe.cards[0].model_copy(update={"aim": "between key and right one nose"})],
        }
    )

    staging, faults = stage(mirrored(named, studio), studio, one.marks)

    assert staging is not None, faults
    assert next(item.aim for item in staging.items if item.name == "key") == "right one nose"


def test_a_mirrored_set_up_keeps_its_ratio_beside_another_wall() -> None:
    """The white wall now stands by the key: the card's place is found anew where it must be."""
    one, studio = changed("borrowed-window"), demo().studio
    found = match(one.recipe, studio, one.marks, one.slug, Wish(mirror=True))

    assert found.found
    assert abs(found.after.ratio.stops - found.before.ratio.stops) <= 1 / 6
    assert {change.what for change in found.changes} >= {"M", "key", "card"}
    assert all("camera-left" in change.now for change in found.changes if change.what == "key")


def test_for_a_taller_sitter_everything_goes_up_with_the_eyes() -> None:
    """8 cm more: the heights on the next five centimetres, the strings as they were."""
    one, studio = changed("borrowed-window"), demo().studio
    found = match(one.recipe, studio, one.marks, one.slug, Wish(eye_height_m=1.3))
    heights = {change.what: change.now for change in found.changes}

    assert heights["camera"] == "height 1.25 m"
    assert "height 1.85 m" in heights["key"]
    assert "string 1.2 m" in heights["key"]
    assert abs(found.after.ratio.stops - found.before.ratio.stops) <= 1 / 6


def test_under_a_low_ceiling_a_standing_sitter_gets_the_light_from_lower_down() -> None:
    """Common practice: under 2.4 m a box of 90 cm reaches far less high over a standing sitter's eyes."""
    one, studio = changed("borrowed-window"), demo().studio
    found = match(one.recipe, studio, one.marks, one.slug, Wish(eye_height_m=1.6, pose="standing"))
    seated = staged(one, studio)
    standing = staged(replace(one, recipe=found.recipe), studio)

    assert key_elevation_deg(seated) > 25
    assert key_elevation_deg(standing) < 20
    assert any(words.startswith("the key stands") for words in found.differs)
    assert standing.item("key").height_m < 1.6 + 0.53


def test_in_another_room_the_lamps_are_known_as_at_home() -> None:
    """A darker, larger room: the ratio is held, the house's gear goes along."""
    one, studio = changed("borrowed-window"), demo().studio
    surfaces = studio.room.surfaces.model_copy(
        update=dict.fromkeys(("left_wall", "right_wall", "ceiling", "back_wall"), "mid-grey paint")
    )
    room = studio.room.model_copy(
        update={"surfaces": surfaces, "width": Length(3.6), "length": Length(5.0), "height": Length(2.7)}
    )
    other = studio.model_copy(update={"room": room, "name": "The cellar", "lamps": studio.lamps[:1]})
    found = match(one.recipe, studio, one.marks, one.slug, Wish(studio=other))

    assert found.found
    assert abs(found.after.ratio.stops - found.before.ratio.stops) <= 1 / 6
    assert found.studio.room.width == Length(3.6)
    assert len(found.studio.lamps) == len(studio.lamps)


def test_another_pose_needs_its_eye_height() -> None:
    """How high somebody's eyes are standing does not follow from how high they are sitting."""
    one, studio = changed("borrowed-window"), demo().studio

    with pytest.raises(UsageError, match="eye height"):
        match(one.recipe, studio, one.marks, one.slug, Wish(pose="standing"))
