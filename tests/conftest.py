"""A browser for the tests that need one, and the demo site to open in it.

Without a browser those tests are skipped with the reason; where CI or THIRDSTOP_BROWSER is set they fail.
"""

import os
import shutil
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, get_args

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page
    from pypdf import PdfReader

QUIET = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

Opener = Callable[..., "Page"]


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


@pytest.fixture
def opened(browser: "Browser") -> Iterator[Opener]:
    """Opens a file in a window of its own; its `said` holds console errors, page errors and requests that
    leave the disk.
    """
    contexts = []

    def open_page(path: Path, query: str = "", phone: bool = False, **options: Any) -> "Page":
        size = {"width": 390, "height": 844} if phone else {"width": 1280, "height": 900}
        context = browser.new_context(viewport=size, is_mobile=phone, has_touch=phone, **options)  # type: ignore[arg-type]
        contexts.append(context)
        page = context.new_page()
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("request", lambda request: said.append(request.url) if _leaves(request.url) else None)
        page.said = said  # type: ignore[attr-defined]
        page.goto(path.as_uri() + query)
        return page

    yield open_page
    for context in contexts:
        context.close()


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
def demo_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book published into a folder, with quickly computed readings and one recipe that is halted."""
    from pages.known_samples import LEARNT
    from pages.samples import demo, shown
    from thirdstop.pages.whole import whole_site

    def fill(folder: Path) -> None:
        written = whole_site(demo()[0], shown(), learnt=LEARNT)
        assert written.faults == []
        for path, data in written.files.items():
            target = folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)

    return made_once(tmp_path_factory, "demo-site", fill)


@pytest.fixture(scope="session")
def demo_binders(browser: "Browser", tmp_path_factory: pytest.TempPathFactory) -> dict[str, "PdfReader"]:
    """The set-up cards of the demo site behind their contents, by paper, each with a code to its web page."""
    from pypdf import PdfReader

    from pages.samples import ADDRESS, demo, shown
    from thirdstop.pages.views.contents import Paper
    from thirdstop.publishing.printing import print_binder

    book, _ = demo()
    there = replace(book, studio=book.studio.model_copy(update={"address": ADDRESS}))

    def fill(folder: Path) -> None:
        for paper in get_args(Paper):
            print_binder(there, shown(), paper, folder / f"{paper}.pdf")

    folder = made_once(tmp_path_factory, "demo-binders", fill)
    return {paper: PdfReader(folder / f"{paper}.pdf") for paper in get_args(Paper)}
