"""What publishing costs as a book grows: cold, after one edit, and in memory, beside the floor.

    .venv/bin/python tests/bench/scale.py                            # about an hour: 30 recipes cold
    .venv/bin/python tests/bench/scale.py --cold 10 --warm 10 1000   # less

The books are the demo's recipes over and over, each copy with a title of its own, its distances, heights and
apertures shifted by a few steps. Every row is a run of the command itself in a process of its own; its
processor seconds (its helpers' too) stand beside the clock's, which other work on the machine lengthens, and
the most memory that any one process of it held. Bytecode is cached, as it is once installed.

- Cold: nothing is kept. `publish`, and `proof` for readings with bands and checks; 'readings alone' is one
  scan of each recipe, without bands, shared out over the processors as everything else is.
- Floor: nothing is kept but what the engine computes; drawing, rendering and writing the same pages.
- Warm: one edit after everything was published. The engine's results are lent: each copy is given those of
  the recipe that it is a copy of, so that a book of a thousand doesn't take hours; in a book of more than a
  hundred the drawings too, so there the floor is without them. They have the same form and length, and
  publishing never looks into what it finds kept; but figures and pictures of such a book don't belong
  together. What an edit makes anew is computed and drawn in truth.
"""

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from thirdstop.book.book import load_recipe, open_book
from thirdstop.book.sources import Source, read_sources
from thirdstop.calibrating.planning import Leaning
from thirdstop.desk import Desk, desk_at, drawings_name, drawings_of, evaluated_of, leaning_of
from thirdstop.keeping import FOLDER, name_of
from thirdstop.pages.drawn import Drawn
from thirdstop.pages.evaluated import Evaluated
from thirdstop.pages.house import house_of
from thirdstop.pages.of_recipe import Around, pages_of
from thirdstop.pages.summaries import summary_of
from thirdstop.running import StagedRecipe, evaluate_quickly, keep, open_and_stage
from thirdstop.sharing import each_done

DEMO = Path(__file__).resolve().parents[2] / "recipes"
PROGRAM = Path(__file__).resolve().parents[2] / "generator"
DRAWN_TO = 100
"""Drawings of longer books are lent too."""
_LINK = re.compile(r"\[([^\]]*)\]\((?!https:|mailto:|#)([^)]*)\)")


# books


def write_book(root: Path, count: int) -> None:
    """A book of so many recipes, the same each time."""
    shutil.copytree(DEMO, root, ignore=shutil.ignore_patterns(FOLDER, "recipes", "log"))
    (root / "recipes").mkdir()
    originals = sorted((DEMO / "recipes").glob("*.yaml"))
    for index in range(count):
        path = originals[index % len(originals)]
        text = _varied(path.read_text(encoding="utf-8"), index // len(originals))
        name = f"{index:04d}-{path.stem.partition('-')[2]}.yaml"
        (root / "recipes" / name).write_text(text, encoding="utf-8")
    there = {path.stem.partition("-")[2] for path in (root / "recipes").iterdir()}
    for file in root.rglob("*.*"):
        if file.is_file():
            file.write_text(_LINK.sub(partial(_kept_link, there), file.read_text(encoding="utf-8")), "utf-8")


def _kept_link(there: set[str], found: re.Match[str]) -> str:
    """The link without a number, which copies have otherwise; its words alone where its recipe is missing."""
    target = re.sub(r"^(recipe:)?\d+-", r"\1", found[2])
    name = target.partition("#")[0].rpartition(":")[2].removesuffix(".yaml")
    gone = {path.stem.partition("-")[2] for path in (DEMO / "recipes").glob("*.yaml")} - there
    return found[1] if name in gone else f"[{found[1]}]({target})"


def _varied(text: str, copy: int) -> str:
    """The recipe's text with a title of its own and a few values shifted; as it is for copy 0."""
    if copy == 0:
        return text
    text = re.sub(r"^(title: .*)$", rf"\1, set {copy}", text, count=1, flags=re.M)
    # a third of the copies stands a little farther off, each by an amount of its own
    text = re.sub(r"(camera: .*distance: )2 m", rf"\g<1>{200 + copy % 7} cm", text, count=1)
    text = re.sub(r"iso: 100\b", f"iso: {(100, 125, 160, 200)[copy % 4]}", text, count=1)
    return re.sub(r"eye_height: 1\.22 m", f"eye_height: {122 - copy % 5 / 2} cm", text, count=1)


def lend(root: Path, originals: Path, drawings: bool) -> None:
    """Give every recipe of the book the engine's results of the demo's recipe that it is a copy of, and its
    drawings.
    """
    base, desk = (desk_at(each, open_book(each).studio) for each in (originals, root))
    given = {
        source.slug.partition("-")[2]: _given(base, source) for source in read_sources(originals, []).recipes
    }
    for source in read_sources(root, []).recipes:
        evaluated, lean, drawn = given[source.slug.partition("-")[2]]
        loaded = load_recipe(source, [])
        assert loaded is not None
        keep(desk.book, StagedRecipe(loaded, evaluated.staging, charged=True), evaluated, whole=True)
        desk.shelf.keep(name_of("leaning", loaded, desk.studio), lean)
        if drawings:
            own = {key.replace(evaluated.slug, source.slug): one for key, one in drawn.items()}
            own = {
                key: replace(one, svg=one.svg.replace(evaluated.slug, source.slug))
                for key, one in own.items()
            }
            desk.shelf.keep(drawings_name(desk, loaded), own)


def _given(desk: Desk, source: Source) -> tuple[Evaluated, Leaning, dict[str, Drawn]]:
    evaluated, _ = evaluated_of(desk, source)
    with drawings_of(desk, evaluated):
        summary_of(evaluated, desk.studio.theme)
        house = house_of(desk.studio, (), has_course=False, has_plans=False)
        pages_of(house, evaluated, Around(None, None, (), (), None))
    drawn = desk.shelf.find(drawings_name(desk, evaluated.loaded))
    assert drawn is not None
    return evaluated, leaning_of(desk, source, evaluated), drawn


# measuring


@dataclass(frozen=True)
class Run:
    """What one command took."""

    clock_s: float
    processor_s: float
    """Of all its processes."""
    main_mb: float
    helper_mb: float
    """Most memory of the command's own process, and of any helper."""
    said: str


def run(*arguments: str | Path) -> Run:
    """The command with its own processes watched."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    environment |= {"PYTHONPYCACHEPREFIX": str(Path(tempfile.gettempdir()) / "scale-bytecode")}
    environment |= {"PYTHONPATH": str(PROGRAM)}
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "thirdstop", *map(str, arguments)],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    most: dict[int, float] = {}
    watcher = threading.Thread(target=_watch, args=(process.pid, most), daemon=True)
    watcher.start()
    assert process.stdout is not None
    said = process.stdout.read()
    _, status, usage = os.wait4(process.pid, 0)
    clock = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    watcher.join()
    if process.returncode not in (0, 3):
        raise SystemExit(f"{' '.join(map(str, arguments))} ended with {process.returncode}:\n{said}")
    main_mb = most.pop(process.pid, 0.0)
    if not most:
        main_mb = usage.ru_maxrss / 1024
    return Run(clock, usage.ru_utime + usage.ru_stime, main_mb, max(most.values(), default=0.0), said)


def _watch(pid: int, most: dict[int, float]) -> None:
    """Most memory of each process below `pid`, in MB, as the kernel counts it (VmHWM)."""
    while Path(f"/proc/{pid}").exists():
        for each in [pid, *_below(pid)]:
            with suppress(OSError, IndexError, ValueError):
                text = Path(f"/proc/{each}/status").read_text(encoding="utf-8")
                if "State:\tZ" in text and each == pid:
                    return
                most[each] = int(text.split("VmHWM:")[1].split()[0]) / 1024
        time.sleep(0.02)


def _below(pid: int) -> Iterator[int]:
    with suppress(OSError):
        for task in Path(f"/proc/{pid}/task").iterdir():
            for child in (task / "children").read_text(encoding="utf-8").split():
                yield int(child)
                yield from _below(int(child))


def show(what: str, count: int, done: Run, each: bool = False) -> None:
    """A line of the table."""
    share = f"{done.clock_s / count:8.3f} s a recipe" if each else " " * 19
    helper = f"{done.helper_mb:5.0f}" if done.helper_mb else "    –"
    print(
        f"{count:5} {what:34} {done.clock_s:8.2f} s {done.processor_s:8.2f} s {share} "
        f"{done.main_mb:5.0f} {helper} MB",
        flush=True,
    )


# the tables


def cold(root: Path, count: int) -> None:
    """Everything computed, then readings only."""
    out = root.parent / "site"
    show("publish, nothing kept", count, run("publish", "--book", root, "--out", out), each=True)
    shutil.rmtree(root / FOLDER)
    show("proof, nothing kept", count, run("proof", "--book", root), each=True)
    _, staged = open_and_stage(root)
    start, before = time.perf_counter(), os.times()
    list(each_done(evaluate_quickly, staged))
    after = os.times()
    processor = sum(
        getattr(after, k) - getattr(before, k) for k in ("user", "system", "children_user", "children_system")
    )
    done = Run(time.perf_counter() - start, processor, 0.0, 0.0, "")
    show("readings alone", count, done, each=True)


def warm(root: Path, count: int) -> None:
    """One edit after another, each published."""
    out = root.parent / "site"
    shutil.rmtree(out, ignore_errors=True)
    drawn = "" if count <= DRAWN_TO else ", nothing drawn"
    show(f"floor: no engine{drawn}", count, run("publish", "--book", root, "--out", out), each=True)
    _print_size(out)
    recipe = sorted((root / "recipes").iterdir())[count // 2]
    page = root / "pages" / "how-we-work.md"
    publish: Callable[[], Run] = lambda: run("publish", "--book", root, "--out", out)  # noqa: E731
    show("nothing changed", count, publish())
    _edit(recipe, "purpose: ", "purpose: Also ")
    show("a word of a recipe's purpose", count, publish())
    _edit(recipe, "notes: |\n", "notes: |\n  Slowly.\n\n")
    show("a word of a recipe's notes", count, publish())
    _edit(recipe, "title: ", "title: Another ")
    show("a word of a recipe's title", count, publish())
    page.write_text(page.read_text(encoding="utf-8") + "\nTwice.\n", encoding="utf-8")
    show("a word of a page of the house", count, publish())
    recipe.write_text(re.sub(r"iso: \d+", "iso: 320", recipe.read_text(encoding="utf-8")), encoding="utf-8")
    source = next(one for one in read_sources(root, []).recipes if one.file.endswith(recipe.name))
    show("a value of a recipe", count, publish())
    print(f"      of which the engine, by itself: {_engine_s(root, source):.2f} s of processor", flush=True)
    show("proof after that", count, run("proof", "--book", root))


def _edit(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text, f"{file} has no '{old}'"
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def _engine_s(root: Path, source: Source) -> float:
    """What computing this recipe in whole takes: bands, charts, corrections, phone tables, worth."""
    with tempfile.TemporaryDirectory() as folder:
        desk = replace(desk_at(root, open_book(root).studio), place=Path(folder))
        start = time.process_time()
        evaluated, _ = evaluated_of(desk, source)
        leaning_of(desk, source, evaluated)
        return time.process_time() - start


def _print_size(out: Path) -> None:
    files = [path for path in out.rglob("*") if path.is_file()]
    size = sum(path.stat().st_size for path in files) / 1e6
    print(f"      {len(files)} files, {size:.0f} MB", flush=True)


def main() -> None:
    """Both tables."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--cold", type=int, nargs="*", default=[10, 30], help="recipes, nothing kept")
    parser.add_argument("--warm", type=int, nargs="*", default=[10, 100, 1000], help="recipes, edits")
    parser.add_argument("--originals", type=Path, help="a copy of the demo's book, to lend from another time")
    asked = parser.parse_args()
    print(f"{os.cpu_count()} processors; load {os.getloadavg()[0]:.1f}")
    print(f"{'n':>5} {'':34} {'clock':>10} {'processor':>10} {'':19} {'main':>5} {'helper':>6}")
    with tempfile.TemporaryDirectory(prefix="scale-") as folder:
        for count in asked.cold:
            root = Path(folder) / f"cold{count}" / "book"
            root.parent.mkdir()
            write_book(root, count)
            cold(root, count)
        originals = asked.originals or Path(folder) / "originals"
        if not originals.exists():
            shutil.copytree(DEMO, originals, ignore=shutil.ignore_patterns(FOLDER))
        for count in asked.warm:
            root = Path(folder) / f"warm{count}" / "book"
            root.parent.mkdir()
            write_book(root, count)
            lend(root, originals, drawings=count > DRAWN_TO)
            warm(root, count)


if __name__ == "__main__":
    main()
