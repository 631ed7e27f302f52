"""How long a keystroke in the index's search takes in a book of many recipes, on a slowed processor.

    .venv/bin/python tests/bench/index.py             # 1,000 recipes, six times slower
    .venv/bin/python tests/bench/index.py 3000 4

The demo's recipes are repeated, each with a title of its own. Every letter is typed into the page opened
from its folder, the processor slowed by the browser's own means (CDP: Emulation.setCPUThrottlingRate). What
is timed runs from the event to the end of the layout that follows. On a machine with other work that says
little: so the page's own processor time (CDP: Performance, threadTicks) is measured too, unslowed, up to the
next frame, and multiplied. What a keystroke doesn't lay out at once follows in steps while nobody types; the
worst step is the last column.
"""

import re
import sys
import tempfile
from pathlib import Path
from statistics import median
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

WORDS = str.split(
    "amber attic balcony borrowed brim candle chorus cloak costume crown curtain dagger double dressing "
    "drum duke east feather footlight front gallery ghost gold green grid half hall harlequin herald high "
    "hour jester king ladder lantern letter low mask mirror monk moon morning narrow night north page "
    "painted paper plume prompter quiet queen rafter rain red ribbon rope scarlet sheet short side silver "
    "sleeve small smoke soft south spear stage stair still storm sword tall tower trap twin velvet villain "
    "wall west wide window wings winter witch"
)
TYPED = ("brim", "lantrn", "velvet villain", "footlgiht", "one person silver", "3:1", "3.1:1", "xylophone")


def many(html: str, count: int) -> str:
    """The page with so many recipes, each with a title and search words of its own."""
    entries = re.findall(r"  <li data-search=.*?\n  </li>\n", html, re.S)
    made = []
    for index in range(count):
        words = [WORDS[(index * step + index // len(WORDS)) % len(WORDS)] for step in (1, 7, 31)]
        title = f"{' '.join(words)} {index}"
        entry = entries[index % len(entries)].replace('data-search="', f'data-search="{title} ', 1)
        entry = re.sub(r"(<h2>.*?<a [^>]*>)[^<]*", rf"\g<1>{title}", entry, count=1, flags=re.S)
        made.append(re.sub(r"\b(d-[a-z0-9-]+)-(title|desc)\b", rf"\1-{index}-\2", entry))
    start, end = html.index(entries[0]), html.index(entries[-1]) + len(entries[-1])
    return html[:start] + "".join(made) + html[end:]


KEYSTROKE = """letter => {
    const input = document.getElementById('words'), start = performance.now();
    input.value += letter;
    input.dispatchEvent(new Event('input', {bubbles: true}));
    document.documentElement.getBoundingClientRect();
    document.getElementById('recipes').getBoundingClientRect();
    const laidOut = performance.now();
    return new Promise(done => requestAnimationFrame(() => setTimeout(
        () => done([laidOut - start, performance.now() - start]))));
}"""


EMPTY = """() => {
    const input = document.getElementById('words');
    input.value = '';
    input.dispatchEvent(new Event('input', {bubbles: true}));
}"""


SETTLED = """() => new Promise(done => {
    const list = document.getElementById('recipes');
    let steps = 0;
    const look = () => {
        if (list.getAttribute('aria-busy') !== 'true') { done(steps); return; }
        const before = list.children.length;
        const wait = () => list.children.length !== before || list.getAttribute('aria-busy') !== 'true'
            ? (steps += 1, look()) : setTimeout(wait, 5);
        wait();
    };
    look();
})"""


def _busy_s(session: Any) -> float:
    """Processor time of the page's own thread so far: the same however busy the machine is."""
    metrics = session.send("Performance.getMetrics")["metrics"]
    return float(next(one["value"] for one in metrics if one["name"] == "TaskDuration"))


def main(count: int, slowed: float) -> None:
    """Publish, multiply, type, print."""
    import shutil

    from playwright.sync_api import sync_playwright

    from conftest import browser_flags
    from pages.samples import demo
    from thirdstop.pages.whole import whole_site

    with tempfile.TemporaryDirectory() as name, sync_playwright() as driver:
        for path, data in whole_site(*demo()).files.items():
            if path == "index.html" or path.startswith("static/"):
                target = Path(name) / path
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(many(data.decode(), count).encode() if path == "index.html" else data)
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=browser_flags())
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto((Path(name) / "index.html").as_uri())
        session = page.context.new_cdp_session(page)
        session.send("Performance.enable", {"timeDomain": "threadTicks"})
        size = (Path(name) / "index.html").stat().st_size
        print(f"{count} recipes, {size / 1e6:.1f} MB, processor slowed {slowed:g} times")
        print(
            f"{'typed':20} {'median ms':>10} {'worst ms':>10} {'worst of the processor, as slowed, ms':>40}"
            f" {'worst step after it':>20}"
        )
        for text in TYPED:
            session.send("Emulation.setCPUThrottlingRate", {"rate": slowed})
            page.evaluate(EMPTY)
            page.evaluate(SETTLED)
            waited = [page.evaluate(KEYSTROKE, letter)[0] for letter in text]
            session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
            page.evaluate(EMPTY)
            page.evaluate(SETTLED)
            worked, followed = [], []
            for letter in text:
                before = _busy_s(session)
                page.evaluate(KEYSTROKE, letter)
                typed = _busy_s(session)
                steps = page.evaluate(SETTLED)
                worked.append((typed - before) * 1000 * slowed)
                followed.append((_busy_s(session) - typed) * 1000 * slowed / max(steps, 1))
            print(
                f"{text:20} {median(waited):10.1f} {max(waited):10.1f} {max(worked):40.1f}"
                f" {max(followed):20.1f}"
            )
        browser.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000, float(sys.argv[2]) if len(sys.argv) > 2 else 6.0)
