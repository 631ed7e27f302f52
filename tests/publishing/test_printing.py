"""A set-up card as PDF: one page, the same bytes each time, and a plain sentence where it can't be."""

import os
import time
from dataclasses import replace
from pathlib import Path

import pytest

from pages.samples import demo
from thirdstop.errors import PublishingError
from thirdstop.publishing import browser
from thirdstop.publishing.browser import find_browser
from thirdstop.publishing.printing import print_binder, print_card, print_tags, steady

STAMPED = b"1 0 obj\n<</CreationDate (D:20261125190102+00'00')\n/ModDate (D:20261125190102+00'00')>>\nendobj"
A5 = "/MediaBox [0 0 419.52 595.2]"


def fake_browser(folder: Path, script: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program in the browser's place; `$OUT` is where it was asked to print to."""
    program = folder / "browser"
    find = 'for flag in "$@"; do case "$flag" in --print-to-pdf=*) OUT="${flag#*=}";; esac; done\n'
    program.write_text("#!/bin/sh\n" + find + script)
    program.chmod(0o755)
    monkeypatch.setenv("THIRDSTOP_BROWSER", str(program))


def printing_and_left(pdf: str, left: dict[str, str]) -> str:
    """A browser's script: `pdf` printed, and the document as it was left, by paper."""
    cases = "".join(f"*paper={paper}) echo '{text}';; " for paper, text in left.items())
    asked = 'for last in "$@"; do :; done\n'
    return f'{asked}if [ -n "$OUT" ]; then printf "{pdf}" > "$OUT"; else case "$last" in {cases}esac; fi'


@pytest.fixture
def card(tmp_path: Path) -> Path:
    path = tmp_path / "recipes" / "brim" / "card.html"
    path.parent.mkdir(parents=True)
    path.write_text("<!doctype html><title>Card</title><p>Card")
    return path


def test_both_dates_are_fixed_at_the_same_length() -> None:
    """Neither stamp is left, and no byte of the file moves."""
    fixed = steady(STAMPED)

    assert fixed.count(b"D:20000101000000+00'00'") == 2
    assert len(fixed) == len(STAMPED)


def test_ids_of_table_cells_are_counted_anew_in_their_order() -> None:
    """Where a browser began to count doesn't show; which cell belongs to which header does."""
    one = b"/ID (node00000475) /ID (node00000480) /Headers [(node00000475) (node00000480)]"
    other = b"/ID (node00000099) /ID (node00000101) /Headers [(node00000099) (node00000101)]"

    assert steady(one) == b"/ID (node00000001) /ID (node00000002) /Headers [(node00000001) (node00000002)]"
    assert steady(other) == steady(one)


def test_a_card_of_one_page_is_written(card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the browser printed is kept, but for its dates; nothing else is left beside it."""
    fake_browser(
        tmp_path, f'printf "/Type /Pages /Type /Page {A5} (D:20261125190102Z)" > "$OUT"', monkeypatch
    )
    out = tmp_path / "pdf"
    out.mkdir()
    print_card(card, "A5", out / "card.pdf")

    assert (out / "card.pdf").read_text() == f"/Type /Pages /Type /Page {A5} (D:20000101000000Z)"
    assert [path.name for path in out.iterdir()] == ["card.pdf"]


@pytest.mark.parametrize(
    ("on_a4", "then"), [(0, "A4 has room for it"), (7, "it is 7 mm too long for A4, too")]
)
def test_a_card_of_two_pages_is_refused(
    card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, on_a4: int, then: str
) -> None:
    """A card is one page or none: the recipe is named, by how much it is too long, and what to shorten or
    where there is room; the former PDF stays.
    """
    sides = {"A5": '<article class="card" data-over="22">', "A4": '<article class="card">'}
    if on_a4:
        sides["A4"] = f'<article class="card" data-over="{on_a4}">'
    fake_browser(tmp_path, printing_and_left(f"/Type /Page {A5} /Type /Page", sides), monkeypatch)
    out = tmp_path / "card.pdf"
    out.write_text("the former one")
    with pytest.raises(PublishingError) as caught:
        print_card(card, "A5", out)

    assert str(caught.value) == (
        "brim: the set-up card is 22 mm too long for one page of A5; fewer things, or shorter names of them, "
        f"of their gear, of the hat or of what is held, make it shorter; {then}"
    )
    assert out.read_text() == "the former one"


def test_a_house_in_feet_is_told_inches_and_letter(
    card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """22 mm are ⅞ in: up to the next half inch."""
    sides = {"A5": '<article class="card" data-over="22">', "Letter": '<article class="card">'}
    fake_browser(tmp_path, printing_and_left(f"/Type /Page {A5} /Type /Page", sides), monkeypatch)
    with pytest.raises(
        PublishingError, match=r"is 1 in too long for one page of A5.*; Letter has room for it"
    ):
        print_card(card, "A5", tmp_path / "card.pdf", units="imperial")


def test_a_card_that_is_too_long_for_a4_has_no_larger_paper(
    card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is said of another paper."""
    left = {"A4": '<article class="card" data-over="8">'}
    fake_browser(tmp_path, printing_and_left("/Type /Page /Type /Page", left), monkeypatch)
    with pytest.raises(PublishingError, match=r"is 8 mm too long for one page of A4; .* make it shorter$"):
        print_card(card, "A4", tmp_path / "card.pdf")


def test_a_page_of_another_size_is_refused(
    card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The card's script chooses the sheet: another size means that it never ran."""
    fake_browser(tmp_path, f'printf "/Type /Page {A5}" > "$OUT"', monkeypatch)

    with pytest.raises(PublishingError, match="did not print on Letter: the card's script did not run"):
        print_card(card, "Letter", tmp_path / "card.pdf")


def test_a_browser_that_fails_is_quoted(card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The browser's last line of complaint is what the person gets to see."""
    fake_browser(tmp_path, "echo noise >&2; echo 'no more memory' >&2; exit 1", monkeypatch)

    with pytest.raises(PublishingError, match="printed nothing: no more memory"):
        print_card(card, "A4", tmp_path / "card.pdf")


def test_a_browser_that_hangs_is_ended(card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Printing gives up after its time, and ends what the browser had started too."""
    left = tmp_path / "left.pid"
    fake_browser(tmp_path, f'sleep 60 & echo $! > "{left}"; wait', monkeypatch)
    monkeypatch.setattr(browser, "_SECONDS", 1.0)

    with pytest.raises(PublishingError, match="did not print within 1 seconds"):
        print_card(card, "A4", tmp_path / "card.pdf")
    assert _ends(int(left.read_text()))


def _ends(pid: int) -> bool:
    """Whether a process is gone, or waits only to be taken note of, within five seconds."""
    for _ in range(100):
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return True
        stat = Path(f"/proc/{pid}/stat")
        if stat.is_file() and stat.read_text().rpartition(")")[2].split()[0] == "Z":
            return True
        time.sleep(0.05)
    return False


def test_a_place_that_cannot_be_written_is_named(
    card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that isn't there is one plain sentence."""
    fake_browser(tmp_path, f'printf "/Type /Page {A5}" > "$OUT"', monkeypatch)

    with pytest.raises(PublishingError, match=r"can't write .*nowhere/card\.pdf: No such file or directory"):
        print_card(card, "A5", tmp_path / "nowhere" / "card.pdf")


def test_no_browser_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a Chromium the sentence names the package, the variable and the other way to print."""
    monkeypatch.delenv("THIRDSTOP_BROWSER", raising=False)
    monkeypatch.setenv("PATH", "")
    with pytest.raises(PublishingError) as caught:
        find_browser()

    assert str(caught.value) == (
        "no Chromium was found; on Debian: apt-get install chromium, or set THIRDSTOP_BROWSER to the one "
        "you have; or open the published card in any browser and print it from there"
    )


def test_a_named_browser_that_is_not_there_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """A wrong THIRDSTOP_BROWSER is not passed over in silence."""
    monkeypatch.setenv("THIRDSTOP_BROWSER", "/nowhere/chromium")

    with pytest.raises(PublishingError, match="THIRDSTOP_BROWSER names /nowhere/chromium, which isn't there"):
        find_browser()


def test_a_binder_of_which_no_card_fits_names_them_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each is told with its own measure, on a line, and nothing is written."""
    left = "".join(
        f'<article class="card" id="{slug}-card" data-over="{over}">\n'
        for slug, over in (("01-borrowed-window", 4), ("03-footlights", 11))
    )
    a5 = f"/Type /Page {A5} "
    fake_browser(tmp_path, printing_and_left(a5 * 4, {"A5": left, "A4": "<p>"}), monkeypatch)
    book, done = demo()

    with pytest.raises(PublishingError) as caught:
        print_binder(book, [done[0], done[2]], "A5", tmp_path / "all.pdf")
    first, second = str(caught.value).splitlines()
    assert first.startswith(
        "01-borrowed-window: the set-up card is 4 mm too long for one page of A5, the most"
    )
    assert second.startswith("03-footlights: the set-up card is 11 mm too long for one page of A5, the most")
    assert first.endswith("; A4 has room for it")
    assert not (tmp_path / "all.pdf").exists()


def test_a_binder_that_does_not_come_out_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With a page too many and no card that is too long, it must be the contents: nothing is written."""
    a5 = f"/Type /Page {A5} "
    fake_browser(tmp_path, printing_and_left(a5 * 4, {"A5": "<p>", "A4": "<p>"}), monkeypatch)
    book, done = demo()

    with pytest.raises(PublishingError, match="did not come out at 2 pages; shorten the recipes' titles"):
        print_binder(book, done[:1], "A5", tmp_path / "all.pdf")
    assert not (tmp_path / "all.pdf").exists()


def test_a_tag_that_is_too_long_names_its_recipe(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A last page that is no A6 says so: recipes whose own tags end in it are named, with what is longest."""
    pages = "/Type /Page /MediaBox [0 0 298 420] /Type /Page /MediaBox [0 0 298 420]"
    long = "/Type /Page /MediaBox [0 0 595 842]"
    count = tmp_path / "count"
    script = f'N=$(cat "{count}" 2>/dev/null || echo 0); echo $((N+1)) > "{count}"\n'
    script += f'if [ $N = 1 ]; then printf "{pages}" > "$OUT"; else printf "{pages} {long}" > "$OUT"; fi'
    fake_browser(tmp_path, script, monkeypatch)
    book, done = demo()

    with pytest.raises(PublishingError) as caught:
        print_tags(book, [done[0], done[2]], tmp_path / "tags.pdf")
    said = str(caught.value)
    assert said.startswith(
        "a part of a stand's tag is longer than a page of A6: 03-footlights: a caution of key ("
    )
    assert "01-borrowed" not in said
    assert not (tmp_path / "tags.pdf").exists()


def test_a_tag_that_runs_on_has_more_pages_than_tags(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Five pages of A6 for one stand's and two stands' tags: they are written, and the tags are counted."""
    fake_browser(tmp_path, f'printf "{"/Type /Page /MediaBox [0 0 298 420] " * 5}" > "$OUT"', monkeypatch)
    book, done = demo()

    assert print_tags(book, [done[0], done[2]], tmp_path / "tags.pdf") == 3
    assert (tmp_path / "tags.pdf").exists()


def test_a_set_up_without_a_stand_has_no_tag(tmp_path: Path) -> None:
    """It is told, before any browser is asked."""
    book, done = demo()
    items = tuple(replace(item, support=None) for item in done[0].staging.items)
    bare = replace(done[0], staging=replace(done[0].staging, items=items))

    with pytest.raises(PublishingError, match="01-borrowed-window: nothing of it is on a stand"):
        print_tags(book, [bare], tmp_path / "tags.pdf")
