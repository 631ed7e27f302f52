"""A browser for the tests that need one, and the demo site to open in it.

Without a browser those tests are skipped with the reason; where CI or THIRDSTOP_BROWSER is set they fail.
"""

import json
import os
import pickle
import shutil
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, get_args

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, ViewportSize
    from pypdf import PdfReader

    from thirdstop.pages.drawn import Drawn

QUIET = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

Opener = Callable[..., "Page"]
Kind = tuple[bool, tuple[tuple[str, Any], ...]]
"""Whether a window is a phone's, and what else was asked for."""


settings.register_profile("here", deadline=None)  # how long a case takes is nothing to fail for
settings.load_profile("here")


def give_up(why: str) -> NoReturn:
    """Fail where a browser is required, else skip."""
    if os.environ.get("CI") or os.environ.get("THIRDSTOP_BROWSER"):
        pytest.fail(f"{why} (a browser is required here)", pytrace=False)
    pytest.skip(why)


def browser_flags() -> list[str]:
    """Chromium's own sandbox refuses to run for root."""
    return [*QUIET, "--no-sandbox"] if getattr(os, "geteuid", lambda: 1)() == 0 else QUIET


@pytest.fixture(scope="session")
def browser() -> Iterator["Browser"]:
    """The Chromium that is found, driven by playwright."""
    try:
        from playwright.sync_api import Error, sync_playwright
    except ImportError:
        give_up("playwright is not installed: pip install -e '.[test]'")
    names = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
    found = os.environ.get("THIRDSTOP_BROWSER") or next(filter(None, map(shutil.which, names)), None)
    if not found:
        give_up("no Chromium found: apt-get install chromium, or set THIRDSTOP_BROWSER")
    try:
        driver = sync_playwright().start()
    except Exception as error:  # the driver's bundled node may lack a system library, such as libatomic1
        give_up(f"the playwright driver would not start: {error}")
    try:
        try:
            one = driver.chromium.launch(executable_path=found, args=browser_flags())
        except Error as error:
            give_up(f"{found} would not start: {str(error).splitlines()[0]}")
        yield one
        one.close()
    finally:
        driver.stop()


class Windows:
    """Windows of one browser, used by one test after another: starting one takes longer than loading a page.

    Every page is loaded anew into a window of the same kind that no test is using, as large as a new one,
    nothing emulated but what was asked for, and nothing stored.
    """

    def __init__(self, browser: "Browser") -> None:
        self._browser = browser
        self._free: dict[Kind, list[Page]] = {}
        self._used: list[tuple[Kind, Page]] = []

    def open(self, path: Path, query: str, phone: bool, options: dict[str, Any]) -> "Page":
        """The file in a window; its `said` holds what happens from now on."""
        kind = (phone, tuple(sorted(options.items())))
        free = self._free.setdefault(kind, [])
        page = free.pop() if free else self._new(phone, options)
        self._used.append((kind, page))
        page.said = []  # type: ignore[attr-defined]
        page.goto(path.as_uri() + query)
        return page

    def _new(self, phone: bool, options: dict[str, Any]) -> "Page":
        context = self._browser.new_context(
            viewport=_size(phone), is_mobile=phone, has_touch=phone, **options
        )
        page = context.new_page()

        def say(text: str) -> None:
            page.said.append(text)  # type: ignore[attr-defined]

        page.on("console", lambda message: say(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: say(str(error)))
        page.on("request", lambda request: say(request.url) if _leaves(request.url) else None)
        return page

    def give_back(self) -> None:
        """Clear the windows that were used; one that can't be cleared is closed."""
        from playwright.sync_api import Error

        for kind, page in self._used:
            try:
                _clear(page, kind)
            except Error:
                page.context.close()
            else:
                self._free[kind].append(page)
        self._used.clear()


def _size(phone: bool) -> "ViewportSize":
    return {"width": 390, "height": 844} if phone else {"width": 1280, "height": 900}


def _clear(page: "Page", kind: Kind) -> None:
    phone, options = kind
    page.evaluate("() => { localStorage.clear(); sessionStorage.clear(); window.name = ''; }")
    page.goto("about:blank")  # whatever was still running there ends
    page.set_viewport_size(_size(phone))
    page.emulate_media(media="null", color_scheme=dict(options).get("color_scheme", "light"))


@pytest.fixture(scope="session")
def windows(browser: "Browser") -> Windows:
    """The windows of the browser, closed with it."""
    return Windows(browser)


@pytest.fixture
def opened(windows: Windows) -> Iterator[Opener]:
    """Opens a file in a window that no other opening of the test has; its `said` holds console errors, page
    errors and requests that leave the disk.
    """

    def open_page(path: Path, query: str = "", phone: bool = False, **options: Any) -> "Page":
        return windows.open(path, query, phone, options)

    yield open_page
    windows.give_back()


def _leaves(address: str) -> bool:
    return not address.startswith(("file:", "data:", "blob:"))


def made_once(factory: pytest.TempPathFactory, name: str, fill: Callable[[Path], None]) -> Path:
    """A folder that one of the processes that test side by side fills, and all of them read."""
    together = factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        together = together.parent
    folder, begun = together / name, together / f"{name}-begun"
    try:
        begun.mkdir()
    except FileExistsError:
        _wait_for(folder)
        return folder
    in_the_making = factory.mktemp(name)
    fill(in_the_making)
    in_the_making.rename(folder)
    return folder


def _wait_for(folder: Path, most_s: float = 240.0) -> None:
    until = time.monotonic() + most_s
    while not folder.exists():
        if time.monotonic() > until:
            pytest.fail(f"{folder.name} was not made by the process that began it", pytrace=False)
        time.sleep(0.1)


@pytest.fixture(scope="session")
def card_drawings(tmp_path_factory: pytest.TempPathFactory) -> dict[str, "Drawn"]:
    """The drawings of the demo book's cards, which are the same in each document that shows them."""
    from pages.samples import demo
    from thirdstop.drawings.lengths import SYSTEMS
    from thirdstop.drawings.palette import palette
    from thirdstop.pages import drawn

    def fill(folder: Path) -> None:
        book, done = demo()
        drawings: dict[str, Drawn] = {}
        with drawn.kept(drawings):
            for each in done:
                for units in SYSTEMS:
                    drawn.for_card(each.staging, palette(book.studio.theme), units)
        (folder / "drawings").write_bytes(pickle.dumps(drawings))

    folder = made_once(tmp_path_factory, "card-drawings", fill)
    drawings: dict[str, Drawn] = pickle.loads((folder / "drawings").read_bytes())
    return drawings


@pytest.fixture(scope="session")
def demo_site(tmp_path_factory: pytest.TempPathFactory, card_drawings: dict[str, "Drawn"]) -> Path:
    """The demo book published into a folder, with quickly computed readings and one recipe that is halted."""
    from pages.known_samples import LEARNT
    from pages.samples import demo, shown
    from thirdstop.pages import drawn
    from thirdstop.pages.whole import whole_site

    def fill(folder: Path) -> None:
        with drawn.kept(dict(card_drawings)):
            written = whole_site(demo()[0], shown(), learnt=LEARNT)
        assert written.faults == []
        for path, data in written.files.items():
            target = folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)

    return made_once(tmp_path_factory, "demo-site", fill)


@dataclass(frozen=True)
class Bound:
    """A binder as it was printed."""

    pdf: "PdfReader"
    texts: list[str]
    """Of each page, as pypdf has it."""


@pytest.fixture(scope="session")
def demo_binders(
    browser: "Browser", tmp_path_factory: pytest.TempPathFactory, card_drawings: dict[str, "Drawn"]
) -> dict[str, Bound]:
    """The set-up cards of the demo site behind their contents, by paper, each with a code to its web page."""
    from pypdf import PdfReader

    from pages.samples import ADDRESS, demo, shown
    from thirdstop.pages import drawn
    from thirdstop.pages.views.contents import Paper
    from thirdstop.publishing.printing import print_binder

    book, _ = demo()
    there = replace(book, studio=book.studio.model_copy(update={"address": ADDRESS}))

    def fill(folder: Path) -> None:
        for paper in get_args(Paper):
            with drawn.kept(dict(card_drawings)):
                print_binder(there, shown(), paper, folder / f"{paper}.pdf")
            texts = [page.extract_text() for page in PdfReader(folder / f"{paper}.pdf").pages]
            (folder / f"{paper}.json").write_text(json.dumps(texts), encoding="utf-8")

    def bound(paper: str) -> Bound:
        texts = json.loads((folder / f"{paper}.json").read_text(encoding="utf-8"))
        return Bound(PdfReader(folder / f"{paper}.pdf"), texts)

    folder = made_once(tmp_path_factory, "demo-binders", fill)
    return {paper: bound(paper) for paper in get_args(Paper)}
