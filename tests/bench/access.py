"""Every page of the demo site held to WCAG 2.2 A and AA, as far as a machine can judge.

    .venv/bin/python tests/bench/access.py                     # all of it, about half an hour
    .venv/bin/python tests/bench/access.py --theme ledger --pages 'recipes/0*'

Each page of each theme, in light and dark, at five widths, everything unfolded: axe-core, and whether the
page scrolls sideways. What axe calls incomplete is settled here: the words are made transparent, the page is
photographed, and the colour of the words is held against every pixel that is then behind them. Besides: text
at 200 % (WCAG 1.4.4), whether anything moves (2.3.3), and the keyboard: every control is reached by Tab, is
seen when it has the focus, isn't hidden behind something, and does what a click does by Enter, Space or
arrows. Ends with status 1 where anything is wrong.
"""

import argparse
import base64
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

THEMES = ("default", "ledger")
SCHEMES = ("light", "dark")
WIDTHS = (320, 390, 768, 1280, 1920)
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
AXE = (Path(__file__).parents[1] / "browser/vendor/axe.min.js").read_text(encoding="utf-8")

GRAZED = 0.1
"""Share of a text's box whose pixels may come near the text's colour: a line that ends beside a label lies in
the label's box, not behind its letters.
"""

RUN = """tags => axe.run(document, {preload: false, runOnly: {type: 'tag', values: tags},
    resultTypes: ['violations', 'incomplete']}).then(result => {
    const told = rules => rules.flatMap(rule => rule.nodes.map(node => ({
        rule: rule.id, html: node.html.slice(0, 110), target: node.target.join(' '),
        why: [...node.any, ...node.all, ...node.none].map(c => (c.data && c.data.messageKey) || c.id)[0]})));
    return {violations: told(result.violations), incomplete: told(result.incomplete)};
})"""
UNFOLD = """() => {
    document.querySelectorAll('details').forEach(one => { one.open = true; });
    // What hasn't been scrolled to has no true place yet; axe would measure it as it lies.
    const sheet = new CSSStyleSheet();
    sheet.replaceSync('* { content-visibility: visible !important; }');
    document.adoptedStyleSheets = [sheet];
}"""
SIDEWAYS = "() => document.documentElement.scrollWidth - window.innerWidth"
"""Pixels by which the page is wider than its window."""

MARK = """targets => { window.judged = targets.map(target => document.querySelector(target)); }"""
"""Held themselves: what is pushed or pictured may list its things anew, and another would be found."""
INK = """which => which.map(k => {
    const one = window.judged[k], style = getComputedStyle(one);
    const svg = one instanceof SVGElement, size = parseFloat(style.fontSize);
    const range = document.createRange();
    range.selectNodeContents(one);
    // A text of a drawing has a box of one and a half times its size: no letter fills its outer quarter.
    const turned = svg && Math.abs(one.getCTM().a) < 0.1, spare = svg ? 0.14 : 0;
    const inked = b => {
        const x = turned ? spare * b.width : 0, y = turned ? 0 : spare * b.height;
        return new DOMRect(b.x + x, b.y + y, b.width - 2 * x, b.height - 2 * y);
    };
    const whole = svg ? [one.getBoundingClientRect()] : [...range.getClientRects()], boxes = whole.map(inked);
    const area = one.closest('.scroll, .drawn'), shown = area && area.getBoundingClientRect();
    const cut = !!area && boxes.some(b => b.left < shown.left + 3 || b.right > shown.right - 3);
    const scale = svg ? one.getCTM().a : 1;
    const px = Math.abs(size * (scale || one.getCTM && one.getCTM().b || 1));
    return {
        cut, colour: svg ? style.fill : style.color,
        large: px >= 24 || (px >= 18.66 && style.fontWeight >= 700),
        boxes: boxes.filter(b => b.width > 1 && b.height > 1)
            .map(b => [b.x + scrollX, b.y + scrollY, b.width, b.height])};
})"""
PUSHED = """end => document.querySelectorAll('.scroll, .drawn').forEach(
    one => { one.scrollLeft = end * (one.scrollWidth - one.clientWidth); })"""
"""What can be pushed sideways, to its beginning or its end."""
BARE = """* { color: transparent !important; -webkit-text-fill-color: transparent !important;
    text-decoration-color: transparent !important; caret-color: transparent !important; }
svg text { fill: transparent !important; stroke: transparent !important; }"""

BEHIND = """async ({picture, texts}) => {
    const bytes = Uint8Array.from(atob(picture), c => c.charCodeAt(0));
    const image = await createImageBitmap(new Blob([bytes], {type: 'image/png'}));
    const canvas = new OffscreenCanvas(image.width, image.height), drawn = canvas.getContext('2d');
    drawn.drawImage(image, 0, 0);
    // Relative luminance and contrast ratio: WCAG 2.2, definitions.
    const linear = v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    const luminance = (r, g, b) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
    return texts.map(text => {
        const [r, g, b] = text.colour.match(/[\\d.]+/g).map(Number), own = luminance(r, g, b);
        const counts = new Map();
        let all = 0;
        for (const [x, y, width, height] of text.boxes) {
            // Whole pixels inside the box: those on its edge belong to the neighbours too.
            const at = [Math.max(0, Math.ceil(x)), Math.max(0, Math.ceil(y))];
            const wide = Math.min(image.width, Math.floor(x + width)) - at[0];
            const high = Math.min(image.height, Math.floor(y + height)) - at[1];
            if (wide < 1 || high < 1) { continue; }
            const data = drawn.getImageData(at[0], at[1], wide, high).data;
            for (let i = 0; i < data.length; i += 4) {
                const key = data[i] << 16 | data[i + 1] << 8 | data[i + 2];
                counts.set(key, (counts.get(key) || 0) + 1);
                all += 1;
            }
        }
        let near = 0, most = [0, 1];
        for (const [key, count] of counts) {
            const other = luminance(key >> 16, key >> 8 & 255, key & 255);
            const ratio = (Math.max(own, other) + 0.05) / (Math.min(own, other) + 0.05);
            if (ratio < (text.large ? 3 : 4.5)) { near += count; }
            if (count > most[0]) { most = [count, ratio]; }
        }
        return {near: all ? near / all : 0, ratio: most[1], seen: all > 0};
    });
}"""

CONTROLS = """() => {
    const all = [...document.querySelectorAll(
        'a[href], button, input, select, textarea, summary, [tabindex]')];
    const usable = all.filter(one => one.tabIndex >= 0 && !one.disabled && one.checkVisibility(
        {visibilityProperty: true, contentVisibilityAuto: false}));
    // Of radio buttons of one name Tab stops at one, arrows go to the others.
    const names = new Set();
    const stops = usable.filter(one => one.type !== 'radio'
        || !names.has(one.name) && !!names.add(one.name));
    stops.forEach((one, index) => { one.dataset.stop = index; });
    return stops.map(one => one.outerHTML.slice(0, 90));
}"""
FOCUSED = """() => {
    const one = document.activeElement;
    if (!one || one === document.body) { return null; }
    const style = getComputedStyle(one), box = one.getBoundingClientRect();
    const radio = one.type === 'radio' && document.querySelector(
        `input[type=radio][name="${CSS.escape(one.name)}"][data-stop]`);
    const stop = one.dataset.stop ?? (radio ? radio.dataset.stop : undefined);
    const boxes = [...one.getClientRects()];
    const hit = boxes.some(b => {
        const there = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2);
        return there && (one.contains(there) || there.contains(one));
    });
    return {
        stop: stop === undefined ? -1 : Number(stop), html: one.outerHTML.slice(0, 90),
        outline: style.outlineStyle === 'none' ? 0 : parseFloat(style.outlineWidth),
        colour: style.outlineColor, ground: getComputedStyle(document.body).backgroundColor,
        inside: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth, hit};
}"""
LISTEN = """() => {
    window.presses = 0;
    document.addEventListener('click', event => {
        window.presses += 1; event.preventDefault(); event.stopImmediatePropagation();
    }, true);
}"""
TEXT_PX = "() => parseFloat(getComputedStyle(document.querySelector('main')).fontSize)"
MOVES = """() => [...document.querySelectorAll('*')].filter(one => {
    const style = getComputedStyle(one);
    return style.animationName !== 'none' || style.transitionDuration.split(', ').some(t => parseFloat(t) > 0)
        || style.scrollBehavior === 'smooth';
}).map(one => one.outerHTML.slice(0, 90))"""
CUT = """() => [...document.querySelectorAll('body *')].filter(one => {
    const style = getComputedStyle(one);
    return one.checkVisibility() && style.position !== 'absolute' && one.clientWidth > 1
        && ['hidden', 'clip'].includes(style.overflowX)
        && (one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1);
}).map(one => one.outerHTML.slice(0, 90))"""


@dataclass
class Told:
    """What was found, over all pages."""

    runs: int = 0
    wrong: list[tuple[str, str, str]] = field(default_factory=list)
    """Rule, where, which."""
    settled: dict[tuple[str, str], Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    """Rule and axe's reason → 'right' and 'wrong'."""
    least: float = 21.0
    """Least contrast of a settled text with the pixels that most of its box shows."""
    stops: int = 0
    presses: int = 0

    def add(self, rule: str, where: str, which: list[str]) -> None:
        """One entry for each thing that is wrong."""
        self.wrong += [(rule, where, one) for one in which]


def build(folder: Path) -> None:
    """The demo site in each theme, one recipe halted on safety, one studio measured."""
    from pages.known_samples import LEARNT
    from pages.samples import demo, shown
    from thirdstop.pages.whole import whole_site

    book, _ = demo()
    for theme in THEMES:
        themed = replace(book, studio=book.studio.model_copy(update={"theme": theme}))
        for name, data in whole_site(themed, shown(), learnt=LEARNT).files.items():
            target = folder / theme / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)


def opened(page: Any, path: Path, scheme: str, width: int) -> None:
    """The page unfolded in that scheme and width, axe in it."""
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(path.as_uri())
    page.evaluate(UNFOLD)


def judge(page: Any, lab: Any, path: Path, where: str, told: Told) -> None:
    """Axe at every width in both schemes; each incomplete text once for each scheme and reason."""
    for scheme in SCHEMES:
        opened(page, path, scheme, WIDTHS[0])
        page.evaluate(AXE)
        done: set[tuple[str, str]] = set()
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            result = page.evaluate(RUN, list(TAGS))
            told.runs += 1
            here = f"{where} {scheme} {width}"
            for one in result["violations"]:
                told.add(one["rule"], here, [one["html"]])
            if (wider := page.evaluate(SIDEWAYS)) > 0:
                told.add("scrolls sideways", here, [f"{wider} px"])
            fresh = [one for one in result["incomplete"] if (one["target"], one["why"]) not in done]
            done |= {(one["target"], one["why"]) for one in fresh}
            settle(page, lab, fresh, here, told)


def settle(page: Any, lab: Any, incomplete: list[dict[str, str]], where: str, told: Told) -> None:
    """Contrast by pixels; any other rule that axe leaves open is told as wrong until a person has looked."""
    for one in incomplete:
        if one["rule"] != "color-contrast":
            told.settled[one["rule"], one["why"]]["wrong"] += 1
            told.add(f"open: {one['rule']}", where, [one["html"]])
    texts = [one for one in incomplete if one["rule"] == "color-contrast"]
    if not texts:
        return
    # a text that is cut by what can be pushed sideways is judged where it shows: as it stands, at either end
    page.evaluate(MARK, [one["target"] for one in texts])
    left = list(range(len(texts)))
    for end in (None, 0, 1):
        if end is not None:
            page.evaluate(PUSHED, end)
        inks = dict(zip(left, page.evaluate(INK, left), strict=True))
        left = [k for k in left if inks[k]["cut"] and end != 1]
        if now := [(texts[k], ink) for k, ink in inks.items() if k not in left]:
            by_pixels(page, lab, now, where, told)
        if not left:
            return


def by_pixels(
    page: Any, lab: Any, pairs: list[tuple[dict[str, str], dict[str, Any]]], where: str, told: Told
) -> None:
    """Each text against what is behind it in a picture of the page without texts."""
    page.evaluate(
        "css => { const sheet = new CSSStyleSheet(); sheet.replaceSync(css);"
        " document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]; }",
        BARE,
    )
    picture = base64.b64encode(page.screenshot(full_page=True)).decode()
    page.evaluate("() => { document.adoptedStyleSheets = document.adoptedStyleSheets.slice(0, -1); }")
    found = lab.evaluate(BEHIND, {"picture": picture, "texts": [ink for _, ink in pairs]})
    for (one, _), seen in zip(pairs, found, strict=True):
        right = seen["near"] <= GRAZED
        told.settled[one["rule"], one["why"]]["right" if right else "wrong"] += 1
        if seen["seen"]:
            told.least = min(told.least, seen["ratio"])
        if not right:
            told.add("contrast by pixels", where, [f"{seen['near']:.0%} near: {one['html']}"])


def enlarge(page: Any, path: Path, where: str, told: Told) -> None:
    """The browser's own text size doubled, on a desktop and on a phone: text grows, nothing is cut, nothing
    scrolls sideways; nothing moves by itself, so that reduced motion has nothing to reduce.
    """
    session = page.context.new_cdp_session(page)
    opened(page, path, "light", 1280)
    usual_px = page.evaluate(TEXT_PX)
    session.send("Page.setFontSizes", {"fontSizes": {"standard": 32, "fixed": 26}})
    for width in (1280, 390):
        opened(page, path, "light", width)
        if (larger := page.evaluate(TEXT_PX)) < 1.9 * usual_px:
            told.add("text doesn't grow", f"{where} {width}", [f"{usual_px} px, then {larger} px"])
        if (wider := page.evaluate(SIDEWAYS)) > 0:
            told.add("scrolls sideways at 200 %", f"{where} {width}", [f"{wider} px"])
        told.add("cut at 200 %", f"{where} {width}", page.evaluate(CUT))
    told.add("moves by itself", where, page.evaluate(MOVES))
    session.send("Page.setFontSizes", {"fontSizes": {"standard": 16, "fixed": 13}})


def walk(page: Any, path: Path, where: str, told: Told) -> None:
    """Tab through the whole page, on a desktop in the light and on a phone in the dark."""
    for scheme, width in (("light", 1280), ("dark", 390)):
        opened(page, path, scheme, width)
        page.evaluate("() => document.body.setAttribute('tabindex', '-1')")
        controls, here = page.evaluate(CONTROLS), f"{where} {scheme} {width}"
        reached = dict(_tabbed(page, len(controls) + 20))
        told.stops += len(controls)
        missed = [html for index, html in enumerate(controls) if index not in reached]
        told.add("not reached by Tab", here, missed)
        for one in reached.values():
            if one["outline"] < 2 or _contrast(one["colour"], one["ground"]) < 3:
                told.add("focus not seen", here, [one["html"]])
            if not (one["inside"] and one["hit"]):
                told.add("focus out of sight", here, [one["html"]])
    press_all(page, len(controls), here, told)


def _tabbed(page: Any, most: int) -> Iterator[tuple[int, dict[str, Any]]]:
    for _ in range(most):
        page.keyboard.press("Tab")
        one = page.evaluate(FOCUSED)
        if one is None:
            return
        yield one["stop"], one


def press_all(page: Any, count: int, where: str, told: Told) -> None:
    """Each control by its keys: links by Enter, buttons and summaries by Enter and Space too."""
    page.evaluate(LISTEN)
    for index in range(count):
        kind, html = page.evaluate(
            "i => { const one = document.querySelector(`[data-stop='${i}']`); one.focus();"
            " return [['radio', 'checkbox', 'range'].includes(one.type) ? one.type : one.localName,"
            " one.outerHTML.slice(0, 90)]; }",
            index,
        )
        for key in KEYS.get(kind, ()):
            before = page.evaluate(STATE)
            page.keyboard.press(key)
            told.presses += 1
            if page.evaluate(STATE) == before:
                told.add(f"{kind} does nothing at {key}", where, [html])


KEYS = {
    "a": ("Enter",),
    "button": ("Enter", " "),
    "summary": ("Enter", " "),
    "checkbox": (" ",),
    "radio": (" ",),
    "range": ("ArrowLeft",),
    "select": ("ArrowDown",),
    "input": ("a",),
    "textarea": ("a",),
}
STATE = "() => [window.presses, document.activeElement.value, scrollX].join()"


def _contrast(first: str, second: str) -> float:
    """Contrast ratio of two CSS colours 'rgb(…)' (WCAG 2.2, definitions)."""

    def luminance(colour: str) -> float:
        parts = [float(part) / 255 for part in colour[colour.index("(") + 1 : -1].split(",")[:3]]
        lin = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * lin[0] + 0.7152 * lin[1] + 0.0722 * lin[2]

    high, low = sorted((luminance(first), luminance(second)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def look_at(browser: Any, lab: Any, path: Path, where: str, told: Told) -> None:
    """Everything about one page; what is wrong is said at once."""
    page = browser.new_page()
    before = len(told.wrong)
    judge(page, lab, path, where, told)
    enlarge(page, path, where, told)
    walk(page, path, where, told)
    page.close()
    for rule, place, which in told.wrong[before:]:
        print(f"{place}: {rule}: {which}", file=sys.stderr, flush=True)


def report(told: Told, pages: int, seconds: float) -> None:
    """The table of what is wrong, and how what axe left open was settled."""
    print(
        f"\n{pages} pages; {told.runs} runs of axe-core; {told.stops} controls tabbed to, "
        f"{told.presses} keys pressed on them; {seconds / 60:.0f} min"
    )
    print(f"\n{'wrong':34} {'times':>6} {'pages':>6}  one of them")
    rules = Counter(rule for rule, _, _ in told.wrong)
    for rule, count in rules.most_common():
        mine = [(where, which) for name, where, which in told.wrong if name == rule]
        pages_hit = len({where.split()[1] for where, _ in mine})
        print(f"{rule:34} {count:6} {pages_hit:6}  {mine[0][0]}: {mine[0][1]}")
    if not rules:
        print("nothing")
    print(f"\n{'left open by axe, settled by pixels':34} {'right':>6} {'wrong':>6}")
    for (rule, why), counts in sorted(told.settled.items()):
        print(f"{rule + ': ' + str(why):34} {counts['right']:6} {counts['wrong']:6}")
    print(f"least contrast of such a text with most of what is behind it: {told.least:.2f}:1")


def main(theme: str, pages: str) -> int:
    """Build, look, tell; 1 where anything is wrong."""
    import shutil

    from playwright.sync_api import sync_playwright

    from conftest import browser_flags

    started, told, looked = time.monotonic(), Told(), 0
    with tempfile.TemporaryDirectory() as name, sync_playwright() as driver:
        folder = Path(name)
        build(folder)
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=browser_flags())
        lab = browser.new_page()
        paths = [
            path
            for path in sorted(folder.rglob("*.html"), key=lambda path: path.relative_to(folder).parts[1:])
            if fnmatch(path.relative_to(folder).parts[0], theme)
            and fnmatch(path.relative_to(folder / path.relative_to(folder).parts[0]).as_posix(), pages)
        ]
        try:
            for path in paths:
                look_at(browser, lab, path, " ".join(path.relative_to(folder).as_posix().split("/", 1)), told)
                looked += 1
        except KeyboardInterrupt:
            print(f"interrupted after {looked} of {len(paths)} pages", file=sys.stderr)
        browser.close()
    report(told, looked, time.monotonic() - started)
    return 1 if told.wrong else 0


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Accessibility of every page of the demo site.")
    parser.add_argument("--theme", default="*")
    parser.add_argument("--pages", default="*", help="a pattern of addresses: 'recipes/0*'")
    asked = parser.parse_args()
    sys.exit(main(asked.theme, asked.pages))
