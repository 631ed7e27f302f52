"""How well the studio is known, on the pages: calibrated or assumed, the next reading, what was shot."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from pages.known_samples import HISTORY, LEARNT, SLUG
from pages.samples import demo
from thirdstop.book.found import CalibrationModel, FoundModel
from thirdstop.book.quantities import Share
from thirdstop.calibrating.history import History
from thirdstop.pages.views.known import known, rests_on, verdict, worth_words
from thirdstop.pages.views.studio import room_table
from thirdstop.pages.whole import whole_site
from thirdstop.publishing.links import broken_links
from thirdstop.staging.learned import Learned, Open


@pytest.fixture(scope="module")
def site() -> dict[str, bytes]:
    """Two recipes of the demo with plans and one history."""
    book, done = demo()
    return whole_site(book, done[:2], learnt=LEARNT).files


def test_what_the_numbers_rest_on() -> None:
    """Assumed, or calibrated on a day, from so many readings, which told so much."""
    learned = Learned("2026-11-21", 9, (Open("left wall", "reflectance"),), np.eye(1))

    assert rests_on(None) == "The studio is assumed: no readings were taken to learn it."
    assert rests_on(learned) == (
        "The studio is calibrated on 2026-11-21, from 9 readings, which told: left wall."
    )
    assert worth_words(None) == ""


def test_rows_newest_first() -> None:
    """Each shoot's day, initials and changes stand once; planned, expected and read are meter's marks."""
    _, done = demo()
    one = next(each for each in done if each.slug == SLUG)
    rows = known(one, LEARNT, 0.1).rows

    assert [row.day for row in rows] == ["2026-11-20", "2026-10-02", "2026-08-14"]
    assert rows[0].read == "f/8 + 4/10"
    assert rows[0].off == "+0.4 stop"
    assert rows[1].changed == "eyes at 1.27 m; card: string 70 cm"
    assert rows[2].changed == "as the recipe says"


def test_verdict_names_day_rule_and_drift() -> None:
    """A broken rule asks for another calibration; otherwise all is explained."""
    fine: History = replace(HISTORY, left=None, drift_stops_month=None)

    assert verdict(HISTORY).startswith(
        "From 2026-11-20 the readings are no longer explained: one reading beyond three deviations. "
        "Calibrate again."
    )
    assert verdict(HISTORY).endswith("drifts by +0.12 stop a month against what is expected.")
    assert "Western Electric, Statistical Quality Control Handbook, 1956" in verdict(fine)
    assert verdict(fine).startswith("Every shoot since the calibration of 2026-08-01 is explained")


def test_pages(site: dict[str, bytes]) -> None:
    """The page of readings has both plans and the cautions; a recipe's page has its history; links hold."""
    page = site["readings.html"].decode()

    assert "10 minutes: 3 readings in 2 set-ups" in page
    assert "30 minutes: 3 readings in 2 set-ups" in page
    assert "licensed practice come first" in page
    assert 'toward the camera: <span class="nowrap">f/' in page
    assert "As shot" in site[f"recipes/{SLUG}/index.html"].decode()
    assert "The studio is assumed" in site[f"recipes/{SLUG}/index.html"].decode()
    ours = ("readings.html", f"recipes/{SLUG}/index.html")
    assert [fault for fault in broken_links(site) if fault.file in ours] == []


def test_without_it_nothing_of_it_is_there() -> None:
    """A site without plans has no page of readings and no link to one."""
    book, done = demo()
    files = whole_site(book, done[:1]).files

    assert "readings.html" not in files
    assert b"readings.html" not in files["index.html"]


def test_a_wall_that_was_read_says_so() -> None:
    """The room's page says measured, with the day, of what a calibration found and nobody changed since."""
    studio = demo()[0].studio
    found = FoundModel.model_validate({"of": "left wall", "value": "0.61", "spread": "0.1 stops"})
    calibration = CalibrationModel(measured=date(2026, 11, 21), readings=6, file="a.yaml", found=[found])
    surfaces = studio.room.surfaces.model_copy(update={"left_wall": Share(0.61), "floor": Share(0.3)})
    room = studio.room.model_copy(update={"surfaces": surfaces})
    table = room_table(studio.model_copy(update={"room": room, "calibration": calibration}))
    rows = {row.name: row.values for row in table.rows}

    assert rows["left wall"][1].assumed == "measured 2026-11-21"
    assert rows["floor"][1].assumed == "assumed"
