"""The command line: reads what was asked, runs the stages, says what came of it.

Exit status: 0 fine or 'look', 1 faults, 2 wrong usage, 3 'halt' findings, 130 stopped with Ctrl-C.
"""

import errno
import json
import math
import shlex
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from thirdstop import __version__
from thirdstop.errors import BookFaults, ThirdstopError, UsageError

if TYPE_CHECKING:
    from thirdstop.pages.evaluated import Evaluated

EXIT_FAULTS = 1
EXIT_USAGE = 2
EXIT_HALT = 3
EXIT_STOPPED = 130
"""Ctrl-C, as shells number it: 128 and the number of the signal."""

_BOOK_HELP = "The book's folder; left out: this folder, or 'recipes' in it."


class _Commands(click.Group):
    """Turns every error that is meant for the person into its lines and its exit status."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BookFaults as error:
            count = len(error.faults)
            click.echo(str(error), err=True)
            click.echo(f"{count} {'fault' if count == 1 else 'faults'}; nothing was written.", err=True)
            ctx.exit(EXIT_FAULTS)
        except ThirdstopError as error:
            click.echo(str(error), err=True)
            ctx.exit(EXIT_USAGE if isinstance(error, UsageError) else EXIT_FAULTS)
        except KeyboardInterrupt:
            click.echo("Stopped.", err=True)
            ctx.exit(EXIT_STOPPED)
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise  # whoever read our output has had enough; click ends quietly
            what = error.filename or "what was to be printed"
            click.echo(f"{what} can't be read or written: {(error.strerror or '').lower()}", err=True)
            ctx.exit(EXIT_FAULTS)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="thirdstop")
def main() -> None:
    """A house recipe book for a small portrait studio: checked, computed, published.

    Example: thirdstop publish
    """


def _book_option(command: Callable[..., None]) -> Callable[..., None]:
    kind = click.Path(path_type=Path)
    return click.option("--book", "book_dir", type=kind, default=None, help=_BOOK_HELP)(command)


def _root(book_dir: Path | None) -> Path:
    """The book's folder: as asked, else this folder, else 'recipes' in it."""
    from thirdstop.book.sources import STUDIO_FILE

    if book_dir is not None:
        return book_dir
    for here in (Path(), Path("recipes")):
        if (here / STUDIO_FILE).is_file():
            return here
    raise UsageError(
        f"there is no book here: neither {STUDIO_FILE} nor recipes/{STUDIO_FILE}; "
        "go to the book's folder, name it with --book, or make one with: thirdstop start DIR"
    )


def _print_json(data: dict[str, Any]) -> None:
    click.echo(json.dumps(data, ensure_ascii=False, indent=2))


def _width() -> int:
    """Of the terminal, within what reads well; 100 characters into a file."""
    return min(max(shutil.get_terminal_size((100, 24)).columns, 60), 110)


def _tell_tally(done: "list[Evaluated]") -> None:
    """Recipes and findings in one line; what is halted, by name; lessons that have ceased to be ones."""
    from thirdstop import reporting

    click.echo(f"{reporting.tally(done)}.")
    for one in done:
        if one.halts:
            meant = ", as it is meant to" if one.recipe.meant_to_halt else ": not to be built as it stands"
            click.echo(f"'{one.title}' halts{meant}.")
    for title in reporting.lessons_that_pass(done):
        click.echo(f"'{title}' is meant to halt, and nothing halts it.")


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", default="Our studio", help="The house's name.", show_default=True)
def start(folder: Path, name: str) -> None:
    """Make a new book in FOLDER: a studio file and one recipe, ready to publish and to change.

    Example: thirdstop start our-book
    """
    from thirdstop.starting import start_book

    written = start_book(folder, name)
    click.echo(f"{len(written)} files in {folder}. Next: thirdstop publish --book {shlex.quote(str(folder))}")


@main.command()
@_book_option
@click.option("--json", "as_json", is_flag=True, help="Print faults and findings as JSON.")
def proof(book_dir: Path | None, as_json: bool) -> None:
    """Validate every file of the book and check every recipe; write nothing.

    Example: thirdstop proof
    """
    from thirdstop import reporting
    from thirdstop.running import evaluate_all, open_and_stage

    book, done = None, []
    try:
        book, staged = open_and_stage(_root(book_dir))
        with _bar(len(staged), "Checking", as_json) as bar:
            done = evaluate_all(book, staged, bar)
    except BookFaults as error:
        if not as_json:
            raise
        _print_json(reporting.proof_json(book, done, error.faults))
        sys.exit(EXIT_FAULTS)
    if as_json:
        _print_json(reporting.proof_json(book, done, []))
    else:
        click.echo(f"{reporting.findings_text(done, _width())}\n")
        _tell_tally(done)
    sys.exit(EXIT_HALT if reporting.halted(done) else 0)


@main.command()
@click.argument("recipe")
@_book_option
@click.option("--json", "as_json", is_flag=True, help="Print the readings as JSON.")
@click.option("--scene", is_flag=True, help="Print the staging itself as JSON, for any other renderer.")
def meter(recipe: str, book_dir: Path | None, as_json: bool, scene: bool) -> None:
    """Predict what the meter will show for RECIPE, point by point.

    Example: thirdstop meter borrowed-window
    """
    from thirdstop import reporting
    from thirdstop.running import evaluate_all, open_and_stage, pick

    book, staged = open_and_stage(_root(book_dir))
    one = pick(staged, recipe)
    if scene:
        from thirdstop.staging.scene import scene_json

        _print_json(scene_json(one.staging.scene))
        return
    (evaluated,) = evaluate_all(book, [one])
    if as_json:
        _print_json(reporting.readings_json(evaluated))
    else:
        click.echo(reporting.readings_table(evaluated))
    sys.exit(EXIT_HALT if evaluated.halts else 0)


@main.command()
@_book_option
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("site"),
    show_default=True,
    help="Where to publish.",
)
def publish(book_dir: Path | None, out: Path) -> None:
    """Write the whole book as a site that opens from its folder, set-up cards included.

    Example: thirdstop publish
    """
    from thirdstop import reporting
    from thirdstop.learning import learnt
    from thirdstop.publishing.site import publish_site
    from thirdstop.running import evaluate_all, open_and_stage

    root = _root(book_dir)
    book, staged = open_and_stage(root)
    with _bar(len(staged), "Computing", False) as bar:
        done = evaluate_all(book, staged, bar, whole=True)
    summary = publish_site(book, done, out, learnt=learnt(book, done))
    _tell_tally(done)
    click.echo(f"{summary.written} files written, {summary.kept} unchanged. Open {out / 'index.html'}")
    sys.exit(EXIT_HALT if reporting.halted(done) else 0)


@main.command()
@_book_option
@click.option(
    "--port", type=click.IntRange(0, 65535), default=8317, show_default=True, help="0: any free one."
)
def watch(book_dir: Path | None, port: int) -> None:
    """Show the book's pages on this machine while files are being edited; Ctrl-C ends it.

    A saved file shows at once; bands and corrections follow when they are computed. Faults stand in the page.

    Example: thirdstop watch
    """
    from thirdstop.watching.preview import Preview
    from thirdstop.watching.server import Watcher

    root = _root(book_dir)
    watcher = Watcher(Preview(root), port)
    click.echo(f"Open {watcher.address} – on this machine only. Ctrl-C ends it.")
    watcher.run()


@main.command("print")
@click.argument("recipe", required=False)
@_book_option
@click.option(
    "--all", "whole_book", is_flag=True, help="Every card of the book behind its contents, one PDF."
)
@click.option("--tags", is_flag=True, help="A tag for each stand instead of the card, one page of A6 each.")
@click.option(
    "--paper", type=click.Choice(["A4", "Letter", "A5"]), default=None, help="Of set-up cards.  [default: A4]"
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=None,
    help="The PDF; left out: RECIPE-PAPER.pdf, RECIPE-tags.pdf, or set-up-cards for RECIPE, here.",
)
def print_(
    recipe: str | None,
    book_dir: Path | None,
    whole_book: bool,
    tags: bool,
    paper: Literal["A4", "Letter", "A5"] | None,
    out: Path | None,
) -> None:
    """Write the set-up card of RECIPE as a PDF of one page, with the Chromium of this machine.

    A stand tag says what goes onto its stand, where it stands, how heavy its bag is and what to mind; it
    hangs on the stand while the set is built. What halts on safety prints the halt alone.

    Example: thirdstop print borrowed-window --paper A5

    Example: thirdstop print borrowed-window --tags

    Example: thirdstop print --all --out set-up-cards.pdf
    """
    from thirdstop import reporting
    from thirdstop.publishing.printing import print_binder, print_recipe, print_tags
    from thirdstop.running import evaluate_all, open_and_stage, pick

    if whole_book == (recipe is not None):
        raise UsageError("name one recipe, or ask for --all")
    if tags and paper is not None:
        raise UsageError("stand tags are A6; --paper is for set-up cards")
    sheet = paper or "A4"
    book, staged = open_and_stage(_root(book_dir))
    wanted = staged if recipe is None else [pick(staged, recipe)]
    with _bar(len(wanted), "Computing", False) as bar:
        done = evaluate_all(book, wanted, bar, whole=not tags)
    name = "set-up-cards" if whole_book else done[0].slug
    target = out or Path(f"{name}-{'tags' if tags else sheet}.pdf")
    if tags:
        count, what = print_tags(book, done, target), "tag"
    elif whole_book:
        count, what = print_binder(book, done, sheet, target), "page"
    else:
        print_recipe(book, done[0], sheet, target)
        count, what = 1, "page"
    if whole_book:
        _tell_tally(done)
    click.echo(f"{target}: {count} {what}{'' if count == 1 else 's'}")
    # a recipe that was asked for by name has its halt on the sheet, meant or not
    sys.exit(EXIT_HALT if (reporting.halted(done) if whole_book else done[0].halts) else 0)


@main.command()
@click.argument("recipe")
@_book_option
@click.option(
    "--move", multiple=True, metavar="NAME", help="A card, light or blocker whose distance may change."
)
@click.option(
    "--also", multiple=True, metavar="ASPECTS", help="What else of it may change: bearing,height,surface."
)
@click.option("--keep", multiple=True, metavar="ASPECTS", help="What of it stays: distance.")
@click.option("--eye-height", default=None, metavar="LENGTH", help="For another sitter: floor to pupils.")
@click.option("--pose", type=click.Choice(["seated", "standing"]), default=None, help="For another pose.")
@click.option(
    "--studio", type=click.Path(path_type=Path), default=None, help="In the room of another studio file."
)
@click.option("--gear", multiple=True, metavar="OLD=NEW", help="With another lamp, shaper, card or sheet.")
@click.option("--mirror", is_flag=True, help="With left for right; the room and its door stay.")
@click.option("--write", is_flag=True, help="Put the answer into the recipe's file.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def place(
    recipe: str,
    book_dir: Path | None,
    move: tuple[str, ...],
    also: tuple[str, ...],
    keep: tuple[str, ...],
    eye_height: str | None,
    pose: str | None,
    studio: Path | None,
    gear: tuple[str, ...],
    mirror: bool,
    write: bool,
    as_json: bool,
) -> None:
    """Find what RECIPE leaves 'to be found': clicks, distances, bearings, heights, surfaces.

    With --eye-height, --pose, --studio, --gear or --mirror: what must change so that the picture stays.

    Example: thirdstop place borrowed-window

    Example: thirdstop place borrowed-window --move card --also bearing,surface

    Example: thirdstop place borrowed-window --eye-height "1.6 m" --pose standing
    """
    from thirdstop.placing.command import run_match, run_place, write_answer

    if mirror or gear or eye_height is not None or pose is not None or studio is not None:
        if move or also or keep or write:
            raise UsageError(
                "--move, --also, --keep and --write don't go with another sitter, room, gear or side"
            )
        other = run_match(_root(book_dir), recipe, eye_height, pose, studio, mirror, gear)
        if as_json:
            _print_json(other.json)
        else:
            click.echo(other.text)
        sys.exit(EXIT_HALT if other.halts else 0 if other.match.found else EXIT_FAULTS)
    run = run_place(_root(book_dir), recipe, move, also, keep)
    if as_json:
        _print_json(run.json)
    else:
        click.echo(run.text)
    if run.answer.best is None:
        sys.exit(EXIT_FAULTS)
    if write:
        changed = write_answer(run)
        said = f"Written into {run.loaded.file}: {', '.join(changed)}." if changed else "Nothing to write."
        click.echo(said, err=as_json)
    sys.exit(EXIT_HALT if run.halts else 0)


@main.command()
@click.argument("file", type=click.Path(path_type=Path), required=False)
@_book_option
@click.option("--write", is_flag=True, help="Put what was found into the studio file.")
@click.option("--plan", is_flag=True, help="Print which readings to take; with FILE, to be filled in.")
@click.option("--minutes", type=click.FloatRange(4, 240), default=None, help="Time for them; else 10 and 30.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as JSON.")
def calibrate(
    file: Path | None, book_dir: Path | None, write: bool, plan: bool, minutes: float | None, as_json: bool
) -> None:
    """Learn this studio from the meter readings in FILE: lamps, walls, cards, the meter itself.

    Example: thirdstop calibrate --plan

    Example: thirdstop calibrate first.yaml --plan

    Example: thirdstop calibrate first.yaml --write
    """
    from thirdstop.calibrating.command import refuse_file, run_calibrate, write_found

    if plan:
        if write or as_json:
            raise UsageError("--plan goes with neither --write nor --json")
        if minutes is not None and math.isnan(minutes):
            raise UsageError("--minutes is a number from 4 to 240")
        if file is not None:
            refuse_file(file)
        _plan_readings(_root(book_dir), file, minutes)
        return
    if file is None or minutes is not None:
        raise UsageError("name the file of readings, or ask for --plan")
    run = run_calibrate(_root(book_dir), file)
    if as_json:
        _print_json(run.json)
    else:
        click.echo(run.text)
    if write:
        said = write_found(run)
        click.echo(f"Written into {run.studio_file}: {'; '.join(said)}.", err=as_json)


@main.command()
@click.argument("shoot")
@_book_option
@click.option("--eye-height", default=None, metavar="LENGTH", help="Of today's sitter: floor to pupils.")
@click.option("--pose", type=click.Choice(["seated", "standing"]), default=None, help="Of today's sitter.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def repeat(
    shoot: str, book_dir: Path | None, eye_height: str | None, pose: str | None, as_json: bool
) -> None:
    """Set up SHOOT of the log again: that day's set-up for today's sitter, with what is known today.

    Example: thirdstop repeat 2026-10

    Example: thirdstop repeat 2026-10-02-borrowed-window --eye-height "1.3 m"
    """
    from thirdstop.placing.command import run_repeat

    run = run_repeat(_root(book_dir), shoot, eye_height, pose)
    if as_json:
        _print_json(run.json)
    else:
        click.echo(run.text)
    sys.exit(EXIT_HALT if run.halts else 0 if run.match.found else EXIT_FAULTS)


def _plan_readings(root: Path, file: Path | None, minutes: float | None) -> None:
    from datetime import date

    from thirdstop.book.book import open_book
    from thirdstop.calibrating.command import plans_of, write_to_fill_in
    from thirdstop.calibrating.plan_told import told
    from thirdstop.calibrating.planning import PLANS_MINUTES
    from thirdstop.learning import rig_lines

    book = open_book(root)
    found = plans_of(book, PLANS_MINUTES if minutes is None else (minutes,))
    click.echo(told(found, rig_lines(book)))
    if file is not None:
        write_to_fill_in(file, found[0], date.today().isoformat())
        click.echo(f"\nWritten to be filled in: {file}")


class _Bar:
    """A progress bar on standard error, only where a person is looking."""

    def __init__(self, length: int, label: str, quiet: bool) -> None:
        hidden = quiet or sys.stderr is None or not sys.stderr.isatty()
        self._bar = click.progressbar(length=length, label=label, file=sys.stderr, hidden=hidden)

    def __enter__(self) -> Callable[[int], None]:
        self._bar.__enter__()
        return self._bar.update

    def __exit__(self, *error: Any) -> None:
        self._bar.__exit__(*error)


def _bar(length: int, label: str, quiet: bool) -> _Bar:
    return _Bar(length, label, quiet)


if __name__ == "__main__":
    main()
