"""The correction table: every row put back into the engine by the test itself."""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from placing.books import changed
from staging.books import demo
from thirdstop.book.book import LoadedRecipe
from thirdstop.book.quantities import Click, Length
from thirdstop.checks import in_frame, sitters_in_frame
from thirdstop.checks.findings import Finding
from thirdstop.exposure import perturbed
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.readings import Readings
from thirdstop.exposure.stops import meter_mark, ratio_text
from thirdstop.exposure.transport import solve
from thirdstop.placing import metered, people, swapped
from thirdstop.placing.correction import Correction
from thirdstop.placing.corrections import corrections
from thirdstop.placing.drift import THIRD, Drift, drift_of
from thirdstop.placing.evaluating import Evaluator
from thirdstop.placing.fitting import CONSTRAINTS
from thirdstop.placing.setup import Setup, what_ends
from thirdstop.placing.values import Changes, with_changes
from thirdstop.staging.resolve import stage
from thirdstop.staging.staging import Scene, Staging

STEP = 0.1


@cache
def table(slug_part: str, *swaps: tuple[str, str]) -> tuple[LoadedRecipe, tuple[Correction, ...]]:
    """A recipe with its rows."""
    one = changed(slug_part, *swaps)
    return one, corrections(one.recipe, demo().studio, one.marks, one.slug)


def rows(slug_part: str, beginning: str, *swaps: tuple[str, str]) -> list[Correction]:
    """The rows that begin so."""
    return [row for row in table(slug_part, *swaps)[1] if row.shows.startswith(beginning)]


def put_back(one: LoadedRecipe, *changes: tuple[tuple[str | int, ...], object]) -> Staging:
    """The recipe staged and charged with those values."""
    values: Changes = changes  # type: ignore[assignment]
    staging, faults = stage(with_changes(one.recipe, values), demo().studio, one.marks)
    assert staging is not None, faults
    return charge(staging)


def readings(staging: Staging, scene: Scene | None = None) -> Readings:
    """Of a staging, or of it with another scene."""
    from dataclasses import replace

    lit = staging if scene is None else replace(staging, scene=scene)
    return read(lit, solve(lit.scene))


@pytest.mark.parametrize("over", [True, False])
def test_the_shadow_sides_row_brings_the_ratio_back(over: bool) -> None:
    """With card and room returning as much more as the row says, its place of the card is right."""
    one, _ = table("borrowed-window")
    row = rows("borrowed-window", "The shadow side")[0 if over else 1]
    percent = int(re.search(r"about (\d+) %", row.cause)[1])  # type: ignore[index]
    cm = int(re.search(r"a string of (\d+) cm", row.do)[1])  # type: ignore[index]
    factor = 1 + percent / 100 if over else 1 - percent / 100
    before = readings(put_back(one))
    moved = put_back(
        one, (("cards", 0, "at", "string"), Length(cm / 100)), (("lights", 0, "power"), Click(16))
    )
    brighter = perturbed.reflectance_scaled(
        moved.scene, lambda panel: panel.role in ("wall", "ceiling", "floor", "card"), factor
    )
    after = readings(moved, brighter)

    assert row.reachable
    assert abs(after.ratio.stops - before.ratio.stops) < 1 / 6 + 0.02
    assert ratio_text(after.ratio.ratio) in row.expect
    assert (cm > 75) == over


def test_a_row_never_sends_the_card_into_the_picture() -> None:
    """Every place that a row of two of the demo's recipes names passes the frame's check."""
    for slug in ("borrowed-window", "clean-sheet"):
        one, table_rows = table(slug)
        # the check of the frame asks nothing of the light
        light = readings(put_back(one))
        for row in table_rows:
            found = re.search(r"'card' goes to a string of ([\d.]+) (c?m)", row.do)
            if found is not None:
                string_m = float(found[1]) / (100 if found[2] == "cm" else 1)
                staging = put_back(one, (("cards", 0, "at", "string"), Length(string_m)))
                findings = in_frame.run(staging, light)
                assert all(f.verdict == "pass" for f in findings if f.about == "card"), row


def test_the_keys_rows_turn_one_click_the_other_way() -> None:
    """A lamp that gives a third more is turned down one click, and reads as before."""
    over, under = rows("borrowed-window", "The key reads")

    assert "down 1 click, to click 15" in over.do
    assert "up 1 click, to click 17" in under.do
    assert over.expect == under.expect
    assert over.expect.startswith("key f/8, ")


def setup_of(slug_part: str, *swaps: tuple[str, str]) -> Setup:
    """The changed recipe with its lamps at their clicks."""
    one = changed(slug_part, *swaps)
    return Setup(Evaluator(one.recipe, demo().studio, one.marks, one.slug))


def test_a_click_that_the_lamp_has_not_is_said() -> None:
    """At f/22 the key stands at its last click: it can't be turned up, nor the aperture closed further."""
    setup = setup_of(
        "borrowed-window", ("aperture: f/8", "aperture: f/22"), ("string: 1.2 m", "string: 1.25 m")
    )
    over, under = metered.key_reading(setup)
    opened, closed = swapped.apertures(setup)

    assert setup.lamps[0].click == 25
    assert over.reachable
    assert not under.reachable
    assert "it has 1 to 25" in under.do
    assert opened.reachable
    assert not closed.reachable
    assert "out of range" in closed.do


def test_a_set_up_that_no_click_lights_has_that_as_its_only_row() -> None:
    """f/45 at ISO 100 is beyond 400 J here."""
    (row,) = table("borrowed-window", ("aperture: f/8", "aperture: f/45"))[1]

    assert not row.reachable
    assert "can't be set" in row.shows
    assert "ISO" in row.do


def test_a_stop_of_aperture_is_three_clicks_on_every_lamp() -> None:
    """Each click a third of a stop; the sharp depth follows Greenleaf's formula as the check has it."""
    opened, closed = rows("clean-sheet", "Another aperture")

    assert opened.shows == "Another aperture: f/5.6."
    assert "turn key down 3 clicks" in opened.do.lower()
    assert "paper lamp down 3 clicks" in opened.do
    assert "paper lamp up 3 clicks" in closed.do
    assert opened.expect.split(", ")[1] == closed.expect.split(", ")[1]


def test_the_taller_sitters_row_holds_the_key_reading() -> None:
    """Eyes and set 10 cm higher: the engine reads what the row says."""
    one, _ = table("borrowed-window")
    row = rows("borrowed-window", "The sitter is taller")[0]
    staging = put_back(
        one,
        (("subject", "eye_height"), Length(1.32)),
        (("camera", "height"), Length(1.25)),
        (("lights", 0, "at", "height"), Length(1.85)),
        (("lights", 0, "power"), Click(16)),
        (("cards", 0, "at", "height"), Length(1.25)),
    )
    after = readings(staging)

    assert row.reachable
    assert f"key {meter_mark(after['chin dome'].f_number, STEP)}" in row.expect
    assert ratio_text(after.ratio.ratio) in row.expect


def test_under_a_low_ceiling_a_taller_sitters_row_says_that_it_does_not_fit() -> None:
    """A ceiling of 2.4 m leaves a box of 90 cm at 1.9 m no 10 cm."""
    (row,) = people.taller(setup_of("footlights"))

    assert not row.reachable
    assert "more does not fit" in row.do


@pytest.mark.parametrize(
    ("camera", "raised"), [("1.05 m", "by 5 cm; more does not fit"), ("1 m", "by 10 cm")]
)
def test_a_taller_sitter_stays_in_the_picture(camera: str, raised: str) -> None:
    """Under a low ceiling the set goes up by 5 cm, and the head 5 cm nearer to the top edge: with 9 cm to
    spare there it does, with 4 cm it doesn't; then all goes up, and the row says what of it must not.
    """
    setup = setup_of("the-prompter", ("height: 1.2 m, framing", f"height: {camera}, framing"))
    (row,) = people.taller(setup)
    spare_m = sitters_in_frame.run(setup.staging, setup.now)[0].margin

    assert spare_m == {"1.05 m": 0.09, "1 m": 0.04}[camera]
    assert row.do.startswith(f"Raise camera, key and cards {raised}")
    assert ("Mind 'key' then: lower it by 5 cm" in row.do) is (camera == "1 m")
    cut = people.raised(people.with_taller(setup.recipe), 0.05)
    staging = setup.evaluator(cut).staging()
    assert staging is not None
    verdict = sitters_in_frame.run(staging, setup.now)[0].verdict
    assert verdict == ("pass" if camera == "1.05 m" else "look")


def test_what_goes_up_is_what_there_is() -> None:
    """No cards where the set-up has none; a lamp on the backdrop stays, any other is named."""
    assert people.what_goes_up(setup_of("borrowed-window").recipe) == "camera, key and cards"
    recipe = setup_of("borrowed-window").recipe
    bare = recipe.model_copy(update={"cards": []})
    assert people.what_goes_up(bare) == "camera and key"
    hair = bare.lights[0].model_copy(update={"name": "hair light"})
    two = bare.model_copy(update={"lights": [*bare.lights, hair]})
    assert people.what_goes_up(two) == "camera, key and 'hair light'"


def test_no_place_of_a_thing_changes_what_is_framed_of_a_sitter() -> None:
    """Key and card elsewhere, the same words on the sitter: searching places need not ask for them."""
    one = changed("borrowed-window")
    before, after = (
        put_back(one, *moves)
        for moves in (
            (),
            ((("lights", 0, "at", "height"), Length(1.6)), (("cards", 0, "at", "height"), Length(1.0))),
        )
    )
    lit = setup_of("borrowed-window").now

    assert sitters_in_frame.CHECK not in CONSTRAINTS
    assert not np.allclose(before.items[0].centre_m, after.items[0].centre_m)
    assert sitters_in_frame.run(before, lit) == sitters_in_frame.run(after, lit)


def test_where_no_card_fills_no_row_speaks_of_one() -> None:
    """A set-up without a card has no row for the shadow side or for surfaces."""
    setup = setup_of("half-a-mask")

    assert list(metered.key_reading(setup))
    assert [*metered.shadow_side(setup), *swapped.surfaces(setup)] == []


def test_a_card_has_the_rows_that_it_has_room_for() -> None:
    """Shadow side, sitter and surface, each with its numbers; the key's clicks stand in the meter block."""
    briefs = {row.shows: row.brief for row in table("borrowed-window")[1]}
    shadow = next(row for row in table("borrowed-window")[1] if row.shows.startswith("The shadow side"))
    reads = re.search(r"reads (f/[^,]+)", shadow.shows)[1]  # type: ignore[index]
    string = re.search(r"a string of [\d.]+ c?m", shadow.do)[0]  # type: ignore[index]

    assert [seen for seen, brief in briefs.items() if not brief and "key reads" not in seen] == [
        "Another aperture: f/5.6.",
        "Another aperture: f/11.",
    ]
    assert reads in shadow.brief
    assert string in shadow.brief
    assert any("drift of" in brief for brief in briefs.values())


def test_what_ends_a_cards_way_is_said() -> None:
    """One step nearer than the nearest place that fits, the frame's own check finds fault with the card."""
    setup = setup_of("borrowed-window")
    _, search = setup.card_for(setup.recipe, None, "card")
    axis, trials = search.axes[0], search.trials
    places = [search.with_value(trials.ask.start, axis, value) for value in axis.values]
    first = next(k for k, place in enumerate(places) if trials.has_room(place))
    nearest = trials.at(places[first])
    beyond = trials.evaluator.staging(trials.ask.changes(places[first - 1]))
    assert nearest is not None
    assert beyond is not None

    findings = in_frame.run(beyond, nearest.readings)

    assert next(finding for finding in findings if finding.about == "card").verdict != "pass"
    assert what_ends(search, nearest, nearer=True) == "nearer it comes into the picture"


def test_the_drift_allowance_is_the_last_whole_centimetre_that_holds() -> None:
    """One centimetre more, and the key reading or the ratio is over a third of a stop off."""
    one = changed("footlights")
    evaluator = Evaluator(one.recipe, demo().studio, one.marks, one.slug)
    lamps = evaluator.answered().lamps
    recipe = with_changes(one.recipe, ((("lights", 0, "power"), Click(lamps[0].click)),))
    evaluator = Evaluator(recipe, demo().studio, one.marks, one.slug)
    drift = drift_of(evaluator)
    staging, still = evaluator.staging(), evaluator.scanned()
    assert staging is not None

    # the key of this recipe hangs straight over the line to the camera
    within, beyond = (_worst(evaluator, still, -cm / 100) for cm in (drift.to_key_cm, drift.to_key_cm + 1))

    assert isinstance(drift, Drift)
    assert within <= THIRD < beyond


def _worst(evaluator: Evaluator, still: Readings, y_m: float) -> float:
    world = lambda scene: perturbed.sitter_moved(scene, 0, np.array([0.0, y_m, 0.0]))  # noqa: E731
    moved = Evaluator(evaluator.recipe, evaluator.studio, evaluator.marks, "recipe", world).scanned()
    key = abs(float(np.log2(moved["chin dome"].lux_seconds / still["chin dome"].lux_seconds)))
    return max(key, abs(moved.ratio.stops - still.ratio.stops))


def test_without_two_sides_no_card_is_moved_for_a_ratio() -> None:
    """A key over the lens, and no word what a ratio is between: rows on the shadow side are left out."""
    bare = ("target: {ratio: 3:1, within: 1/3 stop, between: [forehead, under chin]}\n", "")
    found = [row.shows for row in table("footlights", bare)[1]]

    assert rows("footlights", "The shadow side")
    assert any(seen.startswith("The key reads") for seen in found)
    assert not [seen for seen in found if seen.startswith("The shadow side") or "side." in seen]


def test_what_is_minded_says_of_which_thing() -> None:
    """'Lower it' alone says nothing on a row that raises three things."""
    lower = Finding(
        "room-fit", "look", "key", "It clears the ceiling.", "Lower it by 1 cm, or seat the sitter."
    )
    assert people.mind(lower) == "Mind 'key' then: lower it by 1 cm, or seat the sitter."
    assert people.mind(replace(lower, about="key: stand")).startswith("Mind the stand of 'key' then: lower")
