"""The course's questions: one right answer each, and it is what the engine and plain arithmetic say."""

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from pages.samples import demo, halted
from thirdstop.book.book import TOPICS, open_book, topic_of
from thirdstop.errors import BookFaults
from thirdstop.exposure.stops import ratio_text
from thirdstop.pages.course import topics
from thirdstop.pages.course.question import Question, question
from thirdstop.pages.course.topics import MOST, questions

FACE = re.compile(r"Round box 90 .* goes from ([\d.]+)\s*m to ([\d.]+)\s*m")


def asked(topic: str) -> tuple[Question, ...]:
    """The demo book's questions of a topic."""
    return questions(topic, demo()[1])


def test_every_topic_of_the_book_can_be_asked_about() -> None:
    """The words that file names may carry are those that have questions."""
    assert set(topics.TOPICS) == set(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_one_answer_is_right_and_no_two_read_alike(topic: str) -> None:
    """Each question has a right answer, two or three wrong ones, and a reason beside each."""
    made = asked(topic)

    assert 2 <= len(made) <= MOST
    assert len({one.text for one in made}) == len(made)
    for one in made:
        assert sum(option.right for option in one.options) == 1
        assert 3 <= len(one.options) <= 4
        assert len({option.text for option in one.options}) == len(one.options)
        assert all(option.reason for option in one.options)


def test_the_right_answer_has_no_place_of_its_own() -> None:
    """Over the whole course no place among the answers is right more than half the time."""
    places = [one.options.index(one.right) for topic in TOPICS for one in asked(topic)]

    assert max(map(places.count, range(4))) <= len(places) / 2


def test_the_same_book_asks_the_same() -> None:
    """No chance in it."""
    assert asked("ratio") == asked("ratio")


def test_nobody_is_asked_about_what_nobody_may_build() -> None:
    """A recipe with a halt on safety gives no question."""
    done = demo()[1]
    made = questions("placing", [halted(done[0]), *done[1:]])

    assert done[0].slug not in {one.slug for one in made}
    assert questions("placing", [halted(each) for each in done]) == ()


def test_wrong_answers_that_read_like_the_right_one_are_left_out() -> None:
    """And with one wrong answer left there is no question."""
    one = demo()[1][0]

    assert question(one, "How many?", ("three", "So."), [("three", "No."), ("four", "No.")]) is None


def test_light_on_the_axis_falls_as_a_round_face_does() -> None:
    """Of a disc of radius r at d, E is proportional to sin² of its half angle: r²/(r² + d²) (closed form)."""
    found = [(one, match) for one in asked("distance") if (match := FACE.search(one.text))]

    assert found
    for one, match in found:
        near, far = (float(match[k]) for k in (1, 2))
        lost = math.log2((0.45**2 + far**2) / (0.45**2 + near**2))
        assert one.right.text.startswith(f"{lost:.2f}")


def test_twice_as_much_is_said_of_twice_as_much_alone() -> None:
    """A card that gives more than half of the light can't be asked about with its double."""
    for one in asked("card"):
        right = next(option.text for option in one.options if option.right)
        for option in one.options:
            if option.reason == "Twice as much as it is.":
                share, double = (int(text.split()[0]) for text in (right, option.text))
                assert abs(double - 2 * share) <= 1
    said = [option.reason for one in asked("card") for option in one.options]
    assert any("Too much: that leaves too little" in reason for reason in said)


def test_clicks_bring_the_reading_back() -> None:
    """N² times two to the clicks over three, on the marks that the question names."""
    marks = re.compile(r"should be f/(\d+(?:\.\d+)?). The meter shows f/(\d+(?:\.\d+)?)")
    made = [(one, match) for one in asked("clicks") if (match := marks.search(one.text))]

    assert made
    for one, match in made:
        wanted, seen = float(match[1]), float(match[2])
        stops = 2 * math.log2(wanted / seen)
        clicks = int(re.findall(r"\d+", one.right.text)[0]) * (1 if " up " in one.right.text else -1)
        # nominal marks are rounded by up to a twelfth of a stop
        assert clicks / 3 == pytest.approx(stops, abs=0.15)


def test_the_ratio_is_that_of_the_readings_shown() -> None:
    """Two to the difference of what the meter shows, in tenths over full marks."""
    shown = re.compile(r"f/([\d.]+)(?: \+ (\d+)/10)? and f/([\d.]+)(?: \+ (\d+)/10)?")
    full = {"1.4": 1, "2": 2, "2.8": 3, "4": 4, "5.6": 5, "8": 6, "11": 7, "16": 8}
    made = [(one, match) for one in asked("ratio") if (match := shown.search(one.text))]

    assert made
    for one, match in made:
        lit, shadow = (full[match[k]] + int(match[k + 1] or 0) / 10 for k in (1, 3))
        ratio = 2 ** (lit - shadow)
        said = one.right.text
        assert ratio > 8 if said == "above 8:1" else float(said[:-2]) == pytest.approx(ratio, abs=0.051)


def test_where_the_page_has_another_ratio_the_answer_says_why() -> None:
    """3.7:1 from f/8 + 2/10 and f/4 + 3/10, where the page has 3.9:1 from readings not yet rounded."""
    done = {each.slug: each for each in demo()[1]}
    made = [one for one in asked("ratio") if one.text.startswith("Flat receptor")]
    other = [one for one in made if "not yet rounded" in one.right.reason]

    assert other
    for one in made:
        on_page = ratio_text(done[one.slug].readings.ratio.ratio)
        assert (one in other) is (on_page != one.right.text)
        assert one not in other or f"page has {on_page}, from" in one.right.reason


def test_a_plumb_line_ends_where_the_thing_stands() -> None:
    """String, bearing and height by Pythagoras: the floor distance is what the climb leaves of the string."""
    done = {each.slug: each for each in demo()[1]}
    for one in asked("placing"):
        staging = done[one.slug].staging
        key, nose = staging.item(staging.key), staging.sitters[0].nose_m
        out = math.sqrt(key.string_m**2 - (key.height_m - float(nose[2])) ** 2)
        toward, side = (
            out * math.cos(math.radians(key.bearing_deg)),
            out * math.sin(math.radians(key.bearing_deg)),
        )
        assert f"{abs(toward):.2f}" in one.right.text
        assert f"{abs(side):.2f}" in one.right.text


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["1-clicks.md", "2-clicks.md"], "is about this already"),
        (["1-clikcs.md"], "1-clicks.md"),
        (["all.md"], "a session is about safety"),
    ],
)
def test_a_session_is_about_one_topic(tmp_path: Path, names: list[str], said: str) -> None:
    """A file whose name is no topic, and a second one for the same, are faults."""
    source = Path(__file__).parents[2] / "recipes"
    (tmp_path / "recipes").mkdir()
    (tmp_path / "course").mkdir()
    for name in ("studio.yaml", "recipes/01-borrowed-window.yaml"):
        (tmp_path / name).write_bytes((source / name).read_bytes())
    for name in names:
        (tmp_path / "course" / name).write_text("# Title\n\nText.\n", encoding="utf-8")

    with pytest.raises(BookFaults, match=re.escape(said)):
        open_book(tmp_path)


def test_the_demo_books_course_has_safety_first_and_eight_sessions() -> None:
    """In the order of their file names."""
    course = [topic_of(page.slug) for page in demo()[0].course]

    assert course == list(TOPICS)


def test_a_book_without_a_course_has_no_page_of_one() -> None:
    """Neither a page nor a link."""
    from thirdstop.pages.whole import whole_site

    book, done = demo()
    files = whole_site(replace(book, course=()), done[:2]).files

    assert not [path for path in files if path.startswith("course/")]
    assert b"course/" not in files["index.html"]
