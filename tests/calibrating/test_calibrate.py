"""What readings say of a studio, against studios whose truth is known, read by the engine itself."""

import numpy as np
import pytest

from calibrating.samples import TEXT, read_off, staged, truth
from staging.books import demo
from thirdstop.book.loading import load_model
from thirdstop.book.metering import Metering
from thirdstop.book.quantities import Aperture, Stops
from thirdstop.book.studio import Studio
from thirdstop.calibrating.calibrate import Calibration, birge, calibrate
from thirdstop.calibrating.prior import prior_of
from thirdstop.calibrating.quantities import paint_groups, quantities_of
from thirdstop.calibrating.setups import stage_setups
from thirdstop.calibrating.telling import calibration_json, findings_of, told
from thirdstop.calibrating.writing import written
from thirdstop.errors import UsageError
from thirdstop.exposure.quality import ROUGH
from thirdstop.staging.studio_check import check_studio

BOX = "battery 400 with round box 90"
TRUE = {
    BOX: 0.12,
    "ceiling": -0.5,
    "back wall": -0.4,
    "silver": -0.5,
    "the dome": 0.08,
}
BOX_ALONE = TEXT[: TEXT.index("  - name: silver card")]
STUDIO_TEXT = (demo().root / "studio.yaml").read_text(encoding="utf-8")


def _calibrated(metering: Metering) -> Calibration:
    setups, faults = stage_setups(metering, demo().studio, staged()[1])
    assert not faults
    return calibrate(metering, demo().studio, setups, ROUGH)


@pytest.fixture(scope="module")
def good() -> Calibration:
    """Nine readings without any error, in a studio within what is assumed of it."""
    return _calibrated(read_off(TEXT, truth(staged()[3], TRUE)))


def test_comes_nearer_to_the_truth(good: Calibration) -> None:
    """Every value lies within its band of the truth, and the readings are explained."""
    for found in good.found:
        assert abs(found.x - TRUE.get(found.quantity.name, 0.0)) < 1.645 * found.sd, found.quantity.name
    assert good.error_stops("before") > 0.08
    assert good.error_stops("after") < 0.05
    assert all(row.used for row in good.rows)


def test_spreads_narrow_and_never_widen(good: Calibration) -> None:
    """What the readings bear on is known better, what they don't stays as it was."""
    assert all(found.sd <= found.quantity.sd * (1 + 1e-9) for found in good.found)
    assert good.of("silver").told > 0.25
    assert good.of(BOX).told > 0.2
    assert good.of("front wall").told < 0.05


def test_what_cannot_be_told_apart_is_said(good: Calibration) -> None:
    """A meter that reads high and lamps that are bright look alike; so do a cloth's sheen and its whiteness
    from where it was read.
    """
    lines = findings_of(good, demo().studio)

    assert any("The meter's own error and the lamps' output are one" in line for line in lines)
    assert ("roughness of silver", "silver") in [pair[:2] for pair in good.one_thing]
    assert any("roughness of silver and silver" in line for line in lines)


@pytest.mark.parametrize(
    ("reading", "stops_off", "click"), [("from above", 1.0, None), ("two clicks up", -4 / 3, 14)]
)
def test_a_wrong_reading_is_named(reading: str, stops_off: float, click: int | None) -> None:
    """A reading typed a stop too high, or at another click, is left out, with what would fit."""
    metering = read_off(BOX_ALONE, truth(staged(BOX_ALONE)[3], {BOX: 0.12, "ceiling": -0.5}))
    setup = metering.setups[0]
    at = [one.name for one in setup.readings].index(reading)
    right = setup.readings[at].reads.exact
    wrong = setup.readings[at].model_copy(update={"reads": Aperture(right * 2.0 ** (stops_off / 2))})
    readings = [*setup.readings[:at], wrong, *setup.readings[at + 1 :]]
    changed = setup.model_copy(update={"readings": readings})
    found = _calibrated(metering.model_copy(update={"setups": [changed]}))

    (row,) = [row for row in found.rows if not row.used]
    assert row.taken.name == f"on the axis, {reading}"
    assert 2 * np.log2(row.would_fit / right) == pytest.approx(0.0, abs=0.25)
    assert click is None or row.fitting_click == click
    assert f"'on the axis, {reading}' does not fit the others" in told(found, demo().studio)


def test_written_text_keeps_comments_and_reads_as_found(good: Calibration) -> None:
    """The studio file gets the values, their date and spreads; every comment stays; written twice is once."""
    studio = demo().studio
    text, said = written(STUDIO_TEXT, studio, good, "first.yaml")
    again, marks, faults = load_model(Studio, text, "studio.yaml")

    assert again is not None, faults
    assert not check_studio(again, marks)
    comments = [line.partition("#")[2] for line in STUDIO_TEXT.split("\n") if "#" in line]
    assert [comment for comment in comments if comment not in text] == []
    assert again.calibration is not None
    assert again.calibration.measured.isoformat() == "2026-11-21"
    assert again.calibration.readings == 9
    assert again.room.surfaces.right_wall == studio.room.surfaces.right_wall
    assert any(line.startswith("silver: ") for line in said)
    assert next(s for s in again.surfaces if s.name == "silver").measured is not None
    twice, _ = written(text, again, good, "first.yaml")
    assert twice.count("calibration:") == 1
    assert twice.count("\n") == text.count("\n")
    assert twice.count("shaper: round box 90, guide_number") == 1


def test_the_studio_as_written_gives_the_luminance_found(good: Calibration) -> None:
    """The lamp of the written studio glows as the calibration found, its meter included."""
    text, _ = written(STUDIO_TEXT, demo().studio, good, "first.yaml")
    again, _, _ = load_model(Studio, text, "studio.yaml")
    assert again is not None
    before, after = (
        stage_setups(staged()[0], studio, staged()[1])[0][0] for studio in (demo().studio, again)
    )
    rise = np.log2(after.scene.emitters[0].luminance_cd_s_m2 / before.scene.emitters[0].luminance_cd_s_m2)

    assert rise == pytest.approx(good.of(BOX).x, abs=0.01)
    assert after.lamps[0].output_known_by == "calibrated on 2026-11-21"


def test_nothing_told_is_not_written() -> None:
    """A file without readings that tell anything leaves the studio file alone."""
    metering, _, _, _ = staged()
    nothing = _calibrated(metering.model_copy(update={"setups": []}))

    with pytest.raises(UsageError, match="tell nothing"):
        written(STUDIO_TEXT, demo().studio, nothing, "first.yaml")


def test_grey_frames_and_ambient() -> None:
    """The camera's offset is the mean over grey frames; the room's light the mean in stops."""
    text = TEXT[: TEXT.index("setups:")] + (
        "ambient: [50 lux, 72 lux]\n"
        "grey_frames: [{metered: f/8, right_at: f/7.1}, {metered: f/11, right_at: f/10}]\n"
    )
    metering, _, faults = load_model(Metering, text, "a.yaml")
    assert metering is not None, faults
    found = _calibrated(metering)

    assert found.camera_offset is not None
    assert found.camera_offset.value == pytest.approx(-1 / 3)
    assert found.ambient_lux is not None
    assert found.ambient_lux.value == pytest.approx(60.0)
    new, _ = written(STUDIO_TEXT, demo().studio, found, "a.yaml")
    studio, _, _ = load_model(Studio, new, "studio.yaml")
    assert studio is not None
    assert studio.meter.offset == Stops(-0.33)


def test_json_says_the_same(good: Calibration) -> None:
    """Programs get each value, its spread and each reading's residuals."""
    data = calibration_json(good, demo().studio)

    assert data["format"] == "thirdstop calibrate 1"
    assert len(data["found"]) == len(good.found)
    assert [row["used"] for row in data["readings"]] == [True] * 9


def test_a_second_calibration_begins_where_the_first_ended(good: Calibration) -> None:
    """What was found and still stands has the spread and correlation that it was found with; the rest is as
    assumed.
    """
    text, _ = written(STUDIO_TEXT, demo().studio, good, "first.yaml")
    again, _, _ = load_model(Studio, text, "studio.yaml")
    assert again is not None
    setups, _ = stage_setups(staged()[0], again, staged()[1])
    quantities = quantities_of(setups, paint_groups(again))
    prior = prior_of(quantities, again)
    names = [quantity.name for quantity in quantities]
    box, flat, floor = names.index(BOX), names.index("the flat receptor"), names.index("floor")
    k = [found.quantity.name for found in good.found].index(BOX)
    m = [found.quantity.name for found in good.found].index("the flat receptor")

    assert np.sqrt(prior[box, box]) == pytest.approx(good.of(BOX).sd, rel=0.05)
    assert prior[box, flat] == pytest.approx(good.covariance[k, m], rel=0.1, abs=2e-4)
    assert prior[floor, floor] == pytest.approx(good.prior[names.index("floor"), names.index("floor")])
    assert np.linalg.eigvalsh(prior).min() > 0


def test_two_readings_that_contradict_each_other_are_both_doubted() -> None:
    """With two readings none can be left out: the doubt is said, with what would fit."""
    text = TEXT[: TEXT.index("      - {name: dome")]
    metering = read_off(text, truth(staged(text)[3], {}))
    setup = metering.setups[0]
    wrong = setup.readings[1].model_copy(update={"reads": Aperture(setup.readings[1].reads.exact * 2)})
    changed = setup.model_copy(update={"readings": [setup.readings[0], wrong]})
    found = _calibrated(metering.model_copy(update={"setups": [changed]}))

    assert all(row.used for row in found.rows)
    lines = findings_of(found, demo().studio)
    assert any("two clicks up" in line and "too few readings to leave it out" in line for line in lines)
    assert any("contradict each other" in line for line in lines)


def test_what_contradicts_itself_is_not_written_and_its_band_holds() -> None:
    """Two readings of one place, some stops apart, tell nothing: the band is the assumed one. The refusal
    names both.
    """
    text = TEXT[: TEXT.index("      - {name: dome")]
    metering = read_off(text, truth(staged(text)[3], {}))
    setup = metering.setups[0]
    honest = _calibrated(metering)
    wrong = setup.readings[1].model_copy(update={"reads": Aperture(setup.readings[1].reads.exact * 4)})
    changed = metering.model_copy(
        update={"setups": [setup.model_copy(update={"readings": [setup.readings[0], wrong]})]}
    )
    found = _calibrated(changed)

    assert (honest.contradict, honest.scatter) == (False, 1.0)
    assert found.scatter == pytest.approx((found.misfit / 2) ** 0.5) and found.scatter > 3
    assert honest.of(BOX).sd < 0.8 * honest.of(BOX).quantity.sd
    assert found.of(BOX).sd > 0.9 * found.of(BOX).quantity.sd
    with pytest.raises(UsageError) as caught:
        written(STUDIO_TEXT, demo().studio, found, "first.yaml")
    assert str(caught.value) == (
        "first.yaml: not written, for it would rest on readings that do not fit: "
        + ", ".join(f"'{row.taken.name}'" for row in found.rows)
        + "; meter again, take them out of the file, or correct what it says of the set-up"
    )


def test_a_single_reading_that_cannot_be_is_held_against_the_studio_file() -> None:
    """There are no others that it could fit; nothing of it is written."""
    text = TEXT[: TEXT.index("      - {name: two clicks up")]
    metering = read_off(text, truth(staged(text)[3], {}))
    setup = metering.setups[0]
    wrong = setup.readings[0].model_copy(update={"reads": Aperture(0.5)})
    changed = metering.model_copy(update={"setups": [setup.model_copy(update={"readings": [wrong]})]})
    found = _calibrated(changed)
    lines = findings_of(found, demo().studio)

    assert "does not fit the studio file" in lines[0] and "There is no other one" in lines[0]
    assert lines[1].startswith("The reading contradicts the studio file")
    assert not any("the others" in line for line in lines)
    with pytest.raises(UsageError, match="it would rest on a reading that does not fit"):
        written(STUDIO_TEXT, demo().studio, found, "first.yaml")


def test_nothing_is_said_to_be_untold_and_written_all_the_same(good: Calibration) -> None:
    """Outputs and receptors are known by their sum and go together."""
    (silent,) = [
        line for line in findings_of(good, demo().studio) if line.startswith("The readings say nothing")
    ]
    _, said = written(STUDIO_TEXT, demo().studio, good, "first.yaml")

    for line in said:
        assert line.partition(":")[0] not in silent.removesuffix(".").partition(": ")[2].split(", ")


@pytest.mark.parametrize(
    ("misfit", "count", "ratio"),
    [(4.0, 4, 1.0), (400.0, 4, 10.0), (10.0, 1, 1.0), (12.1, 1, 12.1**0.5), (0.0, 0, 1.0)],
)
def test_errors_are_widened_only_where_chance_cannot_explain_the_scatter(
    misfit: float, count: int, ratio: float
) -> None:
    """The Birge ratio beyond 99.9 of 100 cases: for one reading 3.3 standard deviations."""
    assert birge(misfit, count) == pytest.approx(ratio)
