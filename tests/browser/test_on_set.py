"""The page for a phone on set, as it would be opened from a message: one file in a folder of its own."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from pages.samples import MOVES, demo
from pages.test_one_system import pages
from thirdstop.book.feet import feet
from thirdstop.book.log import Shoot
from thirdstop.book.strict_yaml import read
from thirdstop.exposure.stops import f_number_of, meter_mark, ratio_text, snap
from thirdstop.pages.views.turning import card_table

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from conftest import Opener

VENDOR = Path(__file__).parent / "vendor"
SLUG = "01-borrowed-window"
LEAST_PX = 44
"""Of everything that is pressed, each way."""


@pytest.fixture(scope="module")
def phone(browser: Any, demo_site: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator["Page"]:
    """The page alone in a folder, on an offline phone with touch; `said` holds errors and requests."""
    file = tmp_path_factory.mktemp("message") / "on-set.html"
    shutil.copy(demo_site / "recipes" / SLUG / "on-set.html", file)
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, is_mobile=True, has_touch=True, offline=True
    )
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: said.append(request.url))
    page.goto(file.as_uri())
    page.said = said
    yield page
    context.close()


@pytest.fixture
def fresh(phone: "Page") -> "Page":
    """The same page as when it is opened for the first time."""
    phone.evaluate("localStorage.clear()")
    phone.reload()
    return phone


def go(page: "Page", view: str) -> None:
    page.locator(f'.tabs [data-go="{view}"]').tap()


def tap(page: "Page", name: str, times: int = 1) -> None:
    for _ in range(times):
        page.get_by_role("button", name=name, exact=True).tap()


def out(page: "Page", name: str) -> str:
    """What a field of the set-up that is shown says."""
    return page.locator(f'.set-up:not([hidden]) [data-out="{name}"]').inner_text().replace("\n", " ")


def test_only_the_file_itself_is_read(phone: "Page") -> None:
    """Offline, from its folder: no error, no request but for the file itself; the font is in."""
    addresses = [line for line in phone.said if not line.startswith("data:")]  # type: ignore[attr-defined]

    assert {address.rsplit("/", 1)[-1] for address in addresses} == {"on-set.html"}
    assert phone.evaluate("document.fonts.ready.then(() => [...document.fonts].map(f => f.status))") == [
        "loaded"
    ]


def test_safety_comes_first_and_leads_to_step_one(fresh: "Page") -> None:
    """The page opens on the rig's cautions; one press leads to the first step."""
    assert fresh.get_by_role("heading", name="Before anyone sits down").is_visible()
    assert fresh.locator(".screen:visible").count() == 0
    tap(fresh, "Read. To step 1")

    assert fresh.locator(".screen:visible h3").inner_text() == "Tape the mark M"


def test_steps_come_one_at_a_time_with_their_part(fresh: "Page") -> None:
    """Each press shows the next step alone, ticks the last one, and the plan shows up the step's part;
    after a reload it is taken up where it was.
    """
    go(fresh, "build")
    for _ in range(4):
        tap(fresh, "Done, next")
    shown = fresh.locator(".screen:visible")

    assert shown.count() == 1
    assert shown.locator("h3").inner_text() == "Key (1): stand"
    assert fresh.locator(".set-up:not([hidden]) .spot.lit:visible").get_attribute("data-part") == "1"
    fresh.reload()
    go(fresh, "build")
    assert fresh.locator(".screen:visible h3").inner_text() == "Key (1): stand"
    tap(fresh, "Back")
    assert "done" in str(fresh.locator(".screen:visible").get_attribute("class"))


def test_the_meter_is_answered_in_clicks(fresh: "Page") -> None:
    """For readings over four stops the page says the clicks that the engine's own functions give, with what
    the trigger shows for the new click; and that there is none where the lamp has none.
    """
    each = demo()[1][0]
    lamp, shows = each.readings.lamps[0], each.staging.lamps[0].display
    go(fresh, "meter")
    tap(fresh, "1 stop less", 2)
    seen = set()
    for tenths in range(-20, 21):
        mark, clicks = meter_mark(f_number_of(6 + tenths / 10), 0.1), snap(-tenths * 0.3)
        to = lamp.click + clicks
        assert out(fresh, "shows") == mark
        way = f"{abs(clicks)} click{'' if abs(clicks) == 1 else 's'} {'up' if clicks > 0 else 'down'}"
        expected = (
            f"Leave key within half a click; it stays at click {to} ({shows[to - 1]})"
            if clicks == 0
            else f"Turn key {way} to click {to} ({shows[to - 1]})"
        )
        assert out(fresh, "turn") == expected
        seen.add(clicks)
        tap(fresh, "1/10 more")
    assert seen == set(range(-6, 7))


def test_a_lamp_without_that_click_says_so(fresh: "Page") -> None:
    """From the highest click it can't be turned up: the words say what range it has and what to do."""
    clicks = demo()[1][0].readings.lamps[0].clicks
    go(fresh, "meter")
    tap(fresh, "One click up", clicks)
    tap(fresh, "1 stop less")

    assert out(fresh, "click").startswith(f"click {clicks} ")
    assert out(fresh, "turn") == (
        f"Out of range key 3 clicks up would be click {clicks + 3}, and key has 1 to {clicks}. "
        "Change the ISO or the aperture, or move the lamp."
    )
    assert fresh.get_by_role("button", name="Nothing to turn").is_disabled()


def test_what_was_turned_is_taken_over(fresh: "Page") -> None:
    """'Turned' moves the key's click and asks for a new reading."""
    click = demo()[1][0].readings.lamps[0].click
    go(fresh, "meter")
    tap(fresh, "1 stop less")
    tap(fresh, f"Turned: key is at click {click + 3}")

    assert out(fresh, "click").startswith(f"click {click + 3} ")
    assert out(fresh, "shows") == "f/8"
    # what was read before the turn goes with no click of after it
    go(fresh, "log")
    assert "not read" in fresh.get_by_role("group", name="key reads").inner_text()


def test_a_phone_that_lost_the_page_takes_it_up_as_it_was(fresh: "Page") -> None:
    """Mirrored, and with the key's click: otherwise the other side would be built on."""
    click = demo()[1][0].readings.lamps[0].click
    go(fresh, "build")
    tap(fresh, "Mirror")
    go(fresh, "meter")
    mirrored = int(out(fresh, "click").split()[1])
    tap(fresh, "1 stop less")
    tap(fresh, f"Turned: key is at click {mirrored + 3}")
    fresh.reload()
    go(fresh, "meter")

    assert fresh.locator("#side").inner_text() == "KEY CAMERA-LEFT"
    assert out(fresh, "click").startswith(f"click {mirrored + 3} ")
    tap(fresh, "Mirror")
    assert out(fresh, "click").startswith(f"click {click} ")


def test_a_reading_stays_with_its_set_up(fresh: "Page") -> None:
    """What was read as written isn't logged of the mirrored set-up."""
    go(fresh, "meter")
    tap(fresh, "1/10 more")
    tap(fresh, "Mirror")
    go(fresh, "log")
    assert "not read" in fresh.get_by_role("group", name="key reads").inner_text()


def test_a_new_distance_of_the_card_is_answered(fresh: "Page") -> None:
    """Ratio and clicks at a computed place; in a gap, and beyond the ends, that nothing was computed."""
    go(fresh, "card")
    tap(fresh, "5 cm nearer", 5)
    assert out(fresh, "card-m") == "0.50 m"
    assert out(fresh, "card-ratio") == f"{ratio_text(float(MOVES.ratios[0]))} lit : shadow"
    assert "picture" in out(fresh, "card-says")
    # the key then reads 0.51 stop over: 1.5 clicks, and half a click goes up
    assert out(fresh, "card-turn").startswith(f"Turn key {-snap(-0.51 * 3)} clicks down to click ")
    tap(fresh, "1 cm nearer")
    assert out(fresh, "card-ratio") == "Outside what was computed"
    tap(fresh, "5 cm farther", 10)
    assert out(fresh, "card-m") == "0.99 m"

    assert out(fresh, "card-ratio") == "Outside what was computed"


def test_mirrored_shows_the_other_set_up(fresh: "Page") -> None:
    """The switch changes plan, steps and side, says what differs, and back again."""
    go(fresh, "build")
    tap(fresh, "Mirror")
    assert fresh.locator("#side").inner_text() == "KEY CAMERA-LEFT"
    assert fresh.locator(".differs:visible").inner_text().startswith("The sides stand")
    shown = fresh.locator(".set-up:visible svg:visible")
    assert shown.get_attribute("id") == f"d-{SLUG}-mirrored-bare-plan-100"
    tap(fresh, "Mirror")

    assert fresh.locator("#side").inner_text() == "KEY CAMERA-RIGHT"
    assert fresh.locator(".differs:visible").count() == 0


def test_the_log_is_written_as_yaml(fresh: "Page") -> None:
    """Only what was otherwise, as the book's own log has it, read back by the book's own reader; kept after
    a reload, gone when forgotten twice over.
    """
    click = demo()[1][0].readings.lamps[0].click
    go(fresh, "log")
    tap(fresh, "eye height: more", 3)
    tap(fresh, "card, string: less", 5)
    tap(fresh, "key, power: more")
    tap(fresh, "key reads: more", 2)
    fresh.get_by_label("Initials").fill("ab")
    tap(fresh, "Keep this one")
    fresh.reload()
    go(fresh, "log")
    with fresh.expect_download() as caught:
        tap(fresh, "Write the file")
    text = Path(caught.value.path()).read_text(encoding="utf-8")

    date = fresh.evaluate("new Date().toLocaleDateString('sv')")
    assert caught.value.suggested_filename == f"{date}-{SLUG}.yaml"
    assert text == (
        f"recipe: {SLUG}\n"
        f"date: {date}\n"
        "by: AB\n"
        "eye_height: 125 cm\n"
        "set:\n"
        "  - {name: card, string: 70 cm}\n"
        f"  - {{name: key, power: click {click + 1}}}\n"
        "read:\n"
        "  - {at: chin dome, reads: f/8 + 1/10}\n"
    )
    value, _, faults = read(text, "log.yaml")
    assert faults == []
    shoot = Shoot.model_validate(value)
    assert shoot.eye_height is not None
    assert (shoot.recipe, shoot.eye_height.m, shoot.by) == (SLUG, 1.25, "AB")
    assert [one.name for one in shoot.set] == ["card", "key"]
    tap(fresh, "Forget all", 2)
    assert fresh.locator("#log-text").inner_text() == ""


@pytest.fixture
def in_feet(fresh: "Page") -> Iterator["Page"]:
    """The page after a press on 'Feet', and back in metres for the next test."""
    tap(fresh, "Feet")
    yield fresh
    fresh.evaluate("localStorage.clear()")


def test_in_feet_the_card_moves_by_inches(in_feet: "Page") -> None:
    """Half an inch and two inches a press, to where the feet that are shown say; the table is the same."""
    place = MOVES.chosen_m
    halves = round(place / 0.0127)
    go(in_feet, "card")
    assert out(in_feet, "card-ft") == feet(place)
    tap(in_feet, "½ in farther")
    assert out(in_feet, "card-ft") == feet((halves + 1) * 0.0127)
    tap(in_feet, "2 in nearer", 3)
    assert out(in_feet, "card-ft") == feet((halves - 11) * 0.0127)
    tap(in_feet, "½ in nearer")

    cm = round((halves - 12) * 1.27)
    table = card_table(MOVES, demo()[1][0].readings.ratio)
    there = table.places[cm - table.first_cm]
    assert out(in_feet, "card-ft") == there.feet
    assert out(in_feet, "card-ratio") == f"{there.ratio} lit : shadow"
    assert not re.search(r"\d (cm|m)\b", in_feet.locator('[data-view="card"]:visible').inner_text())


def test_in_feet_the_log_is_in_feet(in_feet: "Page") -> None:
    """Steps of half an inch; what comes back to where it was is not logged; the book reads the file."""
    go(in_feet, "log")
    text = in_feet.locator("#log-lines").inner_text()
    assert feet(1.22) in text and not re.search(r"\d (cm|m)\b", text)
    for _ in range(3):
        tap(in_feet, "card, height: more")
        tap(in_feet, "card, height: less")
    tap(in_feet, "eye height: more", 2)
    tap(in_feet, "card, string: less", 3)
    tap(in_feet, "Keep this one")
    written = in_feet.locator("#log-text").inner_text()
    value, _, faults = read(written, "log.yaml")
    shoot = Shoot.model_validate(value)

    assert faults == []
    assert "height:" not in written.replace("eye_height:", "")
    assert shoot.eye_height is not None
    assert shoot.eye_height.m == pytest.approx((round(1.22 / 0.0127) + 2) * 0.0127)
    assert f"string: {feet((round(0.75 / 0.0127) - 3) * 0.0127)}" in written
    tap(in_feet, "Forget all", 2)


def test_both_switches_name_what_a_press_brings(fresh: "Page") -> None:
    """Units and colours alike, as on every other page."""
    root = fresh.locator("html")
    for name, colours in (("Red", "red"), ("Light", "light"), ("Dark", "dark")):
        assert fresh.locator("#colours").inner_text().split()[-1] == name
        fresh.locator("#colours").tap()
        assert root.get_attribute("data-colours") == colours
    for name, units in (("Feet", "imperial"), ("Metres", "metric")):
        assert fresh.locator("#units").inner_text() == name
        fresh.locator("#units").tap()
        assert root.get_attribute("data-units") == units


def test_a_house_of_one_system_stays_in_it(tmp_path: Path, opened: "Opener") -> None:
    """What another house's page has left in the browser changes nothing; nothing misses the button."""
    file = tmp_path / "on-set.html"
    file.write_text(pages("metric", both=False)["on-set.html"], encoding="utf-8")
    page = opened(file, phone=True)
    page.evaluate("localStorage.setItem('units', 'imperial')")
    page.reload()

    assert page.locator("html").get_attribute("data-units") == "metric"
    assert page.locator("#units").count() == 0
    go(page, "card")
    assert out(page, "card-m").endswith(" m")
    assert page.said == []  # type: ignore[attr-defined]
    page.evaluate("localStorage.clear()")


def test_a_mirrored_set_up_is_logged_in_words(fresh: "Page") -> None:
    """Its readings are not the recipe's: they stand in the notes, where nothing compares them."""
    go(fresh, "build")
    tap(fresh, "Mirror")
    go(fresh, "log")
    tap(fresh, "card, string: less", 5)
    tap(fresh, "key reads: more")
    tap(fresh, "Keep this one")
    text = fresh.locator("#log-text").inner_text()

    assert 'notes: "Mirrored, left for right; card string: 70 cm; chin dome reads f/8."' in text
    assert "read:" not in text
    tap(fresh, "Forget all", 2)


def test_without_storage_the_log_says_so(fresh: "Page") -> None:
    """Where the browser keeps nothing, the entry is still shown as text and the page tells to write it."""
    fresh.evaluate("() => { Storage.prototype.setItem = () => { throw new Error('full'); }; }")
    go(fresh, "log")
    tap(fresh, "Keep this one")

    assert "keeps nothing for such a page" in fresh.locator("#log-said").inner_text()
    assert f"recipe: {SLUG}" in fresh.locator("#log-text").inner_text()


@pytest.mark.parametrize("view", ["safety", "build", "meter", "card", "wrong", "log"])
def test_every_view_is_fit_for_a_gloved_hand(view: str, fresh: "Page") -> None:
    """Whatever is pressed is at least 44 px each way, and nothing makes a small phone scroll sideways."""
    go(fresh, view)
    small = fresh.evaluate(
        """least => [...document.querySelectorAll('button, input, a[href]:not(.skip)')]
            .filter(one => one.offsetParent)
            .map(one => [one.textContent || one.id, one.getBoundingClientRect()])
            .filter(([, box]) => Math.min(box.width, box.height) < least).map(([name]) => name)""",
        LEAST_PX,
    )
    fresh.set_viewport_size({"width": 320, "height": 640})
    wide = fresh.evaluate("document.documentElement.scrollWidth")
    fresh.set_viewport_size({"width": 390, "height": 844})

    assert small == []
    assert wide == 320


def test_axe_finds_nothing(fresh: "Page") -> None:
    """No rule of WCAG 2.2 A or AA fails, every view of both set-ups shown at once."""
    go(fresh, "log")
    fresh.evaluate("document.querySelectorAll('[hidden]').forEach(one => { one.hidden = false; })")
    fresh.evaluate((VENDOR / "axe.min.js").read_text())
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    result = fresh.evaluate(
        "tags => axe.run(document, {preload: false, resultTypes: ['violations'], "
        "runOnly: {type: 'tag', values: tags}})",
        tags,
    )
    found = [f"{one['id']}: {node['html'][:120]}" for one in result["violations"] for node in one["nodes"]]

    assert found == []
    assert len(result["passes"]) > 15, "axe looked at next to nothing"


def test_without_script_everything_is_still_there(browser: Any, demo_site: Path) -> None:
    """A reader that runs no script shows the cautions, every step, and short tables instead of buttons."""
    page = browser.new_page(java_script_enabled=False)
    page.goto((demo_site / "recipes" / SLUG / "on-set.html").as_uri())
    text = page.locator("main").inner_text()
    buttons = page.locator("button:visible").count()
    page.close()

    assert buttons == 0
    assert "Tape the mark M" in text
    assert re.search(r"f/5\.6\s+3 up", text)
    assert "Mirrored" in text
