"""The command line: reads what was asked, runs the stages, says what came of it.

Exit status: 0 fine or 'look', 1 faults, 2 wrong usage, 3 'halt' findings, 130 stopped with Ctrl-C.
"""

import math
import shlex
import sys
from pathlib import Path
from typing import Literal

import click

from thirdstop import __version__
from thirdstop.errors import BookFaults, UsageError
from thirdstop.terminal import (
    EXIT_FAULTS,
    EXIT_HALT,
    PLACE,
    Commands,
    asked_of_studio,
    at_terminal,
    bar_of,
    book_option,
    print_answer,
    print_json,
    root_of,
    tell_tally,
    terminal_width,
)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="thirdstop")
def main() -> None:
    """A house recipe book for a small portrait studio: checked, computed, published.

    Example: thirdstop publish
    """


@main.command()
@click.argument("folder", type=PLACE)
@asked_of_studio
def start(folder: Path, **given: str | None) -> None:
    """Make a new book in FOLDER: a studio file and one recipe, ready to publish and to change.

    At a terminal it asks for room, lamp and card. Where a flag gives any of them, or nobody is there to
    answer, it takes the defaults for the rest.

    Example: thirdstop start our-book

    Example: thirdstop start our-book --width "3.4 m" --length "5 m" --height "2.5 m" --walls 0.5
    """
    from thirdstop.first_answers import said
    from thirdstop.starting import given_answers, refuse_taken, start_book

    refuse_taken(folder)
    flagged = any(text is not None for text in given.values())
    ask = at_terminal() and not flagged
    if ask:
        click.echo("A few questions; Enter takes what stands in brackets. All of it can be changed later.")
    answers = given_answers(given, ask)
    written = start_book(folder, answers)
    if not ask:
        click.echo(f"{'Taken' if flagged else 'Nobody to ask here, so taken'}: {said(answers)}.")
    where = shlex.quote(str(folder))
    click.echo(f"{len(written)} files in {folder}; {folder / 'studio.yaml'} has the rest to fill in.")
    click.echo(f"Next: thirdstop publish --book {where}")


@main.command()
@book_option
@click.option("--json", "as_json", is_flag=True, help="Print faults and findings as JSON.")
def proof(book_dir: Path | None, as_json: bool) -> None:
    """Validate every file of the book and check every recipe; write nothing.

    Example: thirdstop proof
    """
    from thirdstop import reporting
    from thirdstop.proofing import proof as proof_book

    try:
        done = proof_book(root_of(book_dir), lambda length, label: bar_of(length, label, as_json))
    except BookFaults as error:
        if not as_json:
            raise
        print_json(reporting.proof_json(None, (), error.faults))
        sys.exit(EXIT_FAULTS)
    if as_json:
        print_json(reporting.proof_json(done.house, done.recipes, []))
    else:
        click.echo(f"{reporting.findings_text(done.recipes, terminal_width(), done.units)}\n")
        tell_tally(done.recipes)
    sys.exit(EXIT_HALT if reporting.halted(done.recipes) else 0)


@main.command()
@click.argument("recipe")
@book_option
@click.option("--json", "as_json", is_flag=True, help="Print the readings as JSON.")
@click.option("--scene", is_flag=True, help="Print the staging itself as JSON, for any other renderer.")
def meter(recipe: str, book_dir: Path | None, as_json: bool, scene: bool) -> None:
    """Predict what the meter will show for RECIPE, point by point.

    Example: thirdstop meter borrowed-window
    """
    from thirdstop import reporting
    from thirdstop.running import evaluate_all, open_and_stage, pick

    if scene and as_json:
        raise UsageError("--scene prints JSON of its own; write --scene for the staging, --json for readings")
    book, staged = open_and_stage(root_of(book_dir))
    one = pick(staged, recipe)
    if scene:
        from thirdstop.staging.scene import scene_json

        print_json(scene_json(one.staging.scene))
        return
    (evaluated,) = evaluate_all(book, [one])
    if as_json:
        print_json(reporting.readings_json(evaluated))
    else:
        click.echo(reporting.readings_table(evaluated))
    sys.exit(EXIT_HALT if evaluated.halts else 0)


@main.command()
@book_option
@click.option("--out", type=PLACE, default=Path("site"), show_default=True, help="Where to publish.")
def publish(book_dir: Path | None, out: Path) -> None:
    """Write the whole book as a site that opens from its folder, set-up cards included.

    Example: thirdstop publish
    """
    from thirdstop.updating import publish as publish_book

    done = publish_book(root_of(book_dir), out, lambda length, label: bar_of(length, label, False))
    from thirdstop import reporting

    tell_tally(done.recipes)
    switched = done.switched
    click.echo(
        f"{len(switched.written)} files written, {len(switched.kept)} unchanged. Open {out / 'index.html'}"
    )
    sys.exit(EXIT_HALT if reporting.halted(done.recipes) else 0)


@main.command()
@book_option
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

    root = root_of(book_dir)
    watcher = Watcher(Preview(root), port)
    click.echo(f"Open {watcher.address} – on this machine only. Ctrl-C ends it.")
    watcher.run()


@main.command("print")
@click.argument("recipe", required=False)
@book_option
@click.option(
    "--all", "whole_book", is_flag=True, help="Every card of the book behind its contents, one PDF."
)
@click.option("--tags", is_flag=True, help="A tag of A6 for each stand instead of the card.")
@click.option(
    "--paper",
    type=click.Choice(["A4", "Letter", "A5"], case_sensitive=False),
    default=None,
    help="Of set-up cards.  [default: A4]",
)
@click.option(
    "--out",
    type=PLACE,
    default=None,
    help="The PDF, new or in place of one; left out: RECIPE-PAPER.pdf, RECIPE-tags.pdf, or set-up-cards "
    "for RECIPE, here.",
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
    hangs on the stand while the set is built. What halts on safety prints the halt alone. A card that is too
    long for its paper is left out of a binder: its page says so, and the status is 1.

    Example: thirdstop print borrowed-window --paper A5

    Example: thirdstop print borrowed-window --tags

    Example: thirdstop print --all --out set-up-cards.pdf
    """
    from thirdstop import reporting
    from thirdstop.publishing.out_file import pdf_at
    from thirdstop.publishing.printing import print_binder, print_recipe, print_tags
    from thirdstop.running import evaluate_all, open_and_stage, pick

    if whole_book == (recipe is not None):
        raise UsageError("name one recipe, or ask for --all")
    if tags and paper is not None:
        raise UsageError("stand tags are A6; --paper is for set-up cards")
    sheet = paper or "A4"
    root = root_of(book_dir)
    book, staged = open_and_stage(root)
    wanted = staged if recipe is None else [pick(staged, recipe)]
    name = "set-up-cards" if whole_book else wanted[0].loaded.slug
    target = pdf_at(out, root, f"{name}-{'tags' if tags else sheet}.pdf")
    with bar_of(len(wanted), "Computing", False) as bar:
        done = evaluate_all(book, wanted, bar, whole=not tags)
    left_out: tuple[str, ...] = ()
    if tags:
        count, what = print_tags(book, done, target), "tag"
    elif whole_book:
        bound = print_binder(book, done, sheet, target)
        count, what, left_out = bound.pages, "page", bound.left_out
    else:
        print_recipe(book, done[0], sheet, target)
        count, what = 1, "page"
    if whole_book:
        tell_tally(done)
    click.echo(f"{target}: {count} {what}{'' if count == 1 else 's'}")
    for one in left_out:
        click.echo(f"{one}; its page says so", err=True)
    if left_out:
        sys.exit(EXIT_FAULTS)
    # a recipe that was asked for by name has its halt on the sheet, meant or not
    sys.exit(EXIT_HALT if (reporting.halted(done) if whole_book else done[0].halts) else 0)


@main.command()
@click.argument("recipe")
@book_option
@click.option(
    "--move", multiple=True, metavar="NAME", help="A card, light or blocker whose distance may change."
)
@click.option(
    "--also", multiple=True, metavar="ASPECTS", help="What else of it may change: bearing,height,surface."
)
@click.option("--keep", multiple=True, metavar="ASPECTS", help="What of it stays: distance.")
@click.option("--eye-height", default=None, metavar="LENGTH", help="For another sitter: floor to pupils.")
@click.option("--pose", type=click.Choice(["seated", "standing"]), default=None, help="For another pose.")
@click.option("--studio", type=PLACE, default=None, help="In the room of another studio file.")
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
                "--move, --also, --keep and --write don't go with another sitter, room, gear or side; leave "
                "them out, or else --eye-height, --pose, --studio, --gear and --mirror"
            )
        other = run_match(root_of(book_dir), recipe, eye_height, pose, studio, mirror, gear)
        print_answer(other, as_json)
        sys.exit(EXIT_HALT if other.halts else 0 if other.match.found else EXIT_FAULTS)
    if (also or keep) and not move:
        raise UsageError("--also and --keep are of what may move; write --move NAME beside them")
    run = run_place(root_of(book_dir), recipe, move, also, keep)
    print_answer(run, as_json)
    if run.answer.best is None:
        sys.exit(EXIT_FAULTS)
    if write:
        changed = write_answer(run)
        said = f"Written into {run.loaded.file}: {', '.join(changed)}." if changed else "Nothing to write."
        click.echo(said, err=as_json)
    sys.exit(EXIT_HALT if run.halts else 0)


@main.command()
@click.argument("file", type=PLACE, required=False)
@book_option
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
            raise UsageError("--plan prints and writes no result: leave out --write and --json")
        if minutes is not None and math.isnan(minutes):
            raise UsageError("--minutes is a number from 4 to 240")
        if file is not None:
            refuse_file(file)
        _plan_readings(root_of(book_dir), file, minutes)
        return
    if minutes is not None:
        raise UsageError("--minutes is the time for a plan; write --plan beside it, or leave it out")
    if file is None:
        raise UsageError("name the file of readings, or ask for --plan")
    run = run_calibrate(root_of(book_dir), file)
    print_answer(run, as_json)
    if write:
        said = write_found(run)
        click.echo(f"Written into {run.studio_file}: {'; '.join(said)}.", err=as_json)


@main.command()
@click.argument("shoot")
@book_option
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

    run = run_repeat(root_of(book_dir), shoot, eye_height, pose)
    print_answer(run, as_json)
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


if __name__ == "__main__":
    main()
