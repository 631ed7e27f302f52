"""A set-up card as PDF: one page, the same bytes each time, and a plain sentence where it can't be."""

from pathlib import Path

import pytest

from thirdstop.errors import PublishingError
from thirdstop.publishing import printing
from thirdstop.publishing.printing import find_browser, print_card, without_dates

STAMPED = b"1 0 obj\n<</CreationDate (D:20261125190102+00'00')\n/ModDate (D:20261125190102+00'00')>>\nendobj"


def fake_browser(folder: Path, script: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program in the browser's place; `$OUT` is where it was asked to print to."""
    program = folder / "browser"
    find = 'for flag in "$@"; do case "$flag" in --print-to-pdf=*) OUT="${flag#*=}";; esac; done\n'
    program.write_text("#!/bin/sh\n" + find + script)
    program.chmod(0o755)
    monkeypatch.setenv("THIRDSTOP_BROWSER", str(program))


@pytest.fixture
def card(tmp_path: Path) -> Path:
    path = tmp_path / "recipes" / "brim" / "card.html"
    path.parent.mkdir(parents=True)
    path.write_text("<!doctype html><title>Card</title><p>Card")
    return path


def test_both_dates_are_fixed_at_the_same_length() -> None:
    """Neither stamp is left, and no byte of the file moves."""
    fixed = without_dates(STAMPED)

    assert fixed.count(b"D:20000101000000+00'00'") == 2
    assert len(fixed) == len(STAMPED)


def test_a_card_of_one_page_is_written(card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the browser printed is kept, but for its dates."""
    fake_browser(tmp_path, 'printf "/Type /Pages /Type /Page (D:20261125190102Z)" > "$OUT"', monkeypatch)
    print_card(card, "A5", tmp_path / "card.pdf")

    assert (tmp_path / "card.pdf").read_bytes() == b"/Type /Pages /Type /Page (D:20000101000000Z)"


def test_a_card_of_two_pages_is_refused(card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A card is one page or none: a second one would be left in the printer."""
    fake_browser(tmp_path, 'printf "/Type /Pages /Type /Page /Type /Page" > "$OUT"', monkeypatch)
    with pytest.raises(PublishingError) as caught:
        print_card(card, "A5", tmp_path / "card.pdf")

    assert str(caught.value) == (
        "brim: the set-up card takes 2 pages of A5; shorten what its recipe says, "
        "or print it on a larger paper"
    )
    assert not (tmp_path / "card.pdf").exists()


def test_a_browser_that_fails_is_quoted(card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The browser's last line of complaint is what the person gets to see."""
    fake_browser(tmp_path, "echo noise >&2; echo 'no more memory' >&2; exit 1", monkeypatch)

    with pytest.raises(PublishingError, match="printed nothing: no more memory"):
        print_card(card, "A4", tmp_path / "card.pdf")


def test_a_browser_that_hangs_is_ended(card: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Printing gives up after its time."""
    fake_browser(tmp_path, "exec sleep 60", monkeypatch)
    monkeypatch.setattr(printing, "_SECONDS", 0.3)

    with pytest.raises(PublishingError, match="did not print within 0 seconds"):
        print_card(card, "A4", tmp_path / "card.pdf")


def test_no_browser_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a Chromium the sentence names the package and the other way to print."""
    monkeypatch.delenv("THIRDSTOP_BROWSER", raising=False)
    monkeypatch.setenv("PATH", "")
    with pytest.raises(PublishingError) as caught:
        find_browser()

    assert str(caught.value) == (
        "no Chromium was found; on Debian: apt-get install chromium, "
        "or print the card from any browser instead"
    )


def test_a_named_browser_that_is_not_there_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """A wrong THIRDSTOP_BROWSER is not passed over in silence."""
    monkeypatch.setenv("THIRDSTOP_BROWSER", "/nowhere/chromium")

    with pytest.raises(PublishingError, match="THIRDSTOP_BROWSER names /nowhere/chromium, which isn't there"):
        find_browser()
