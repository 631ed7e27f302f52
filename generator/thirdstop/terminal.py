"""What every command shares: errors as lines and exit status, the book's folder, a bar."""

import errno
import json
import shutil
import sys
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

import click

from thirdstop.errors import BookFaults, ThirdstopError, UsageError
from thirdstop.first_answers import QUESTIONS

if TYPE_CHECKING:
    from thirdstop.reporting import Judged

EXIT_FAULTS = 1
EXIT_USAGE = 2
EXIT_HALT = 3
EXIT_STOPPED = 130
"""Ctrl-C, as shells number it: 128 and the number of the signal."""

_ROOT = "thirdstop.root"
_BOOK_HELP = "The book's folder; left out: this folder, or 'recipes' in it."


class _Place(click.Path):
    """A file or folder. An empty name, as a shell leaves for an unset variable, is none: not this folder."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The path, or UsageError for an empty one."""
        if isinstance(value, str) and not value.strip():
            what = "a file's name" if param is None else param.human_readable_name.upper()
            what = param.opts[0] if isinstance(param, click.Option) else what
            raise UsageError(f"{what} is empty; name a file or a folder")
        return super().convert(value, param, ctx)


PLACE = _Place(path_type=Path)
"""Of every option and argument that names a file or a folder."""


class Commands(click.Group):
    """Turns every error that is meant for the person into its lines and its exit status."""

    def invoke(self, ctx: click.Context) -> Any:
        """One run of a command."""
        try:
            return super().invoke(ctx)
        except BookFaults as error:
            from thirdstop.book.fault_units import told_in, units_of

            count = len(error.faults)
            units = units_of(ctx.meta[_ROOT]) if _ROOT in ctx.meta else "metric"
            for fault in error.faults:
                click.echo(str(told_in(fault, units)), err=True)
            # a proof never writes, so that it didn't is nothing to say
            end = "." if ctx.invoked_subcommand == "proof" else "; nothing was written."
            click.echo(f"{count} {'fault' if count == 1 else 'faults'}{end}", err=True)
            ctx.exit(EXIT_FAULTS)
        except ThirdstopError as error:
            click.echo(str(error), err=True)
            ctx.exit(EXIT_USAGE if isinstance(error, UsageError) else EXIT_FAULTS)
        except (KeyboardInterrupt, click.Abort):
            click.echo("Stopped.", err=True)
            ctx.exit(EXIT_STOPPED)
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise  # whoever read our output has had enough; click ends quietly
            what = error.filename or "what was to be printed"
            click.echo(f"{what} can't be read or written: {(error.strerror or '').lower()}", err=True)
            ctx.exit(EXIT_FAULTS)


def book_option(command: Callable[..., None]) -> Callable[..., None]:
    """Adds `--book` to a command."""
    return click.option("--book", "book_dir", type=PLACE, default=None, help=_BOOK_HELP)(command)


def asked_of_studio(command: Callable[..., None]) -> Callable[..., None]:
    """A flag for each question of a new book."""
    for question in reversed(QUESTIONS):
        left_out = question.default or "not known"
        said = f"{question.asks}.  [default: {left_out}]"
        command = click.option(question.flag, question.key, default=None, metavar="TEXT", help=said)(command)
    return command


def root_of(book_dir: Path | None) -> Path:
    """The book's folder: as asked, else this folder, else 'recipes' in it."""
    from thirdstop.book.sources import STUDIO_FILE

    here = (Path(), Path("recipes")) if book_dir is None else ()
    root = next((folder for folder in here if (folder / STUDIO_FILE).is_file()), book_dir)
    if root is not None:
        # faults are told in the units of this house
        click.get_current_context().meta[_ROOT] = root
        return root
    raise UsageError(
        f"there is no book here: neither {STUDIO_FILE} nor recipes/{STUDIO_FILE}; "
        "go to the book's folder, name it with --book, or make one with: thirdstop start DIR"
    )


def at_terminal() -> bool:
    """Whether somebody is there to answer."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def print_json(data: dict[str, Any]) -> None:
    """As every command prints it."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2))


class Answer(Protocol):
    """What a command found, in both forms."""

    @property
    def text(self) -> str:
        """For people."""

    @property
    def json(self) -> dict[str, Any]:
        """For programs."""


def print_answer(answer: Answer, as_json: bool) -> None:
    """In the form that was asked for."""
    if as_json:
        print_json(answer.json)
    else:
        click.echo(answer.text)


def terminal_width() -> int:
    """Of the terminal, within what reads well; 100 characters into a file."""
    return min(max(shutil.get_terminal_size((100, 24)).columns, 60), 110)


def tell_tally(done: "Sequence[Judged]") -> None:
    """Recipes and findings in one line; what is halted, by name; lessons that have ceased to be ones."""
    from thirdstop import reporting

    click.echo(f"{reporting.tally(done)}.")
    for one in done:
        if one.counts["halt"]:
            meant = ", as it is meant to" if one.meant_to_halt else ": not to be built as it stands"
            click.echo(f"'{one.title}' halts{meant}.")
    for title in reporting.lessons_that_pass(done):
        click.echo(f"'{title}' is meant to halt, and nothing halts it.")


Bar: TypeAlias = Callable[[int, str], AbstractContextManager[Callable[[int], None]]]
"""A progress bar of so many steps under this name."""


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


def bar_of(length: int, label: str, quiet: bool) -> _Bar:
    """A bar over so many recipes."""
    return _Bar(length, label, quiet)
