"""Which folders thirdstop may publish into, and how it knows its own.

A site that thirdstop wrote holds a marker: a list of every file with its SHA-256, in the manner of
sha256sum. A folder is ours when nothing is in it but files of that list.
"""

import hashlib
import os
import stat
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from thirdstop.errors import PublishingError

MARKER = ".thirdstop-site"
MARKER_HEAD = "# thirdstop wrote these files; it replaces them all when it publishes again."
KEPT = ".gitignore"
"""The one file of the person's own that stays in a published folder."""

_NO_PART = frozenset(("", ".", ".."))
"""What no part of a site's path may be."""
_AT_A_TIME = 2**20
"""So many bytes of a file are read at once."""

LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What desktops leave in any folder they show; no reason to refuse, and not kept."""


def marker_text(digests: Mapping[str, str]) -> bytes:
    """The marker of a site: path to SHA-256 of every file, sorted by path."""
    lines = [f"{digest}  {path}" for path, digest in sorted(digests.items())]
    return "\n".join([MARKER_HEAD, *lines, ""]).encode()


def digest(data: bytes) -> str:
    """SHA-256 as the marker has it."""
    return hashlib.sha256(data).hexdigest()


def standing(folder: Path) -> dict[str, str]:
    """Path to SHA-256 of every file that a site of ours holds at this moment, whatever its marker says."""
    found = {}
    # room that is used again: for a long site, asking for new one would take as long as reading
    room = memoryview(bytearray(_AT_A_TIME))
    for path in sorted(listed(folder)):
        file = f"{folder}/{path}"
        if is_plain_file(file):
            found[path] = _digest_of(file, room)
    return found


def _digest_of(file: str, room: memoryview) -> str:
    found = hashlib.sha256()
    with Path(file).open("rb", buffering=0) as stream:
        while size := stream.readinto(room):
            found.update(room[:size])
    return found.hexdigest()


def listed(folder: Path) -> frozenset[str]:
    """Paths that the folder's marker lists; empty where there is no marker of ours."""
    marker = folder / MARKER
    if not is_plain_file(marker):
        return frozenset()
    head, *lines = marker.read_text("utf-8", errors="replace").splitlines() or [""]
    if head != MARKER_HEAD:
        return frozenset()
    return frozenset(line[66:] for line in lines)


def folders_of(paths: Iterable[str]) -> set[str]:
    """Every folder, below the site's own, that files of these paths stand in."""
    found: set[str] = set()
    for path in paths:
        folder = path.rpartition("/")[0]
        while folder and folder not in found:
            found.add(folder)
            folder = folder.rpartition("/")[0]
    return found


def is_plain_file(path: Path | str) -> bool:
    """A regular file, not a link to one."""
    try:
        return stat.S_ISREG(os.lstat(path).st_mode)
    except (FileNotFoundError, NotADirectoryError):
        return False


def is_plain_folder(path: Path | str) -> bool:
    """A folder, not a link to one."""
    try:
        return stat.S_ISDIR(os.lstat(path).st_mode)
    except (FileNotFoundError, NotADirectoryError):
        return False


def is_there(path: Path) -> bool:
    """Something has this name, be it a link that leads nowhere."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def everything_in(folder: Path) -> Iterator[Path]:
    """Every entry below the folder, sorted, links not followed, folders before what is in them."""
    return (Path(entry.path) for entry in entries_in(folder))


def entries_in(folder: Path | str) -> Iterator["os.DirEntry[str]"]:
    """The same with what the system said of each."""
    with os.scandir(folder) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        yield entry
        if entry.is_dir(follow_symlinks=False):
            yield from entries_in(entry.path)


def foreign(folder: Path) -> Path | None:
    """The first thing in the folder that thirdstop did not put there; None if there is none."""
    ours = listed(folder)
    folders = folders_of(ours)
    start = len(str(folder)) + 1
    for entry in entries_in(folder):
        name = entry.path[start:].replace(os.sep, "/")
        plain = entry.is_file(follow_symlinks=False)
        # The marker's own name is ours even where a kill left it half written.
        if plain and (name in ours or name in (KEPT, MARKER) or entry.name in LITTER):
            continue
        if entry.is_dir(follow_symlinks=False) and name in folders:
            continue
        return Path(entry.path)
    return None


def require_ours(folder: Path) -> None:
    """Pass if the folder isn't there, is empty, holds its .gitignore alone, or is a site of ours.

    Raises PublishingError naming what is in the way.
    """
    if not is_there(folder):
        return
    if folder.is_symlink():
        raise PublishingError(f"{folder} is a link; name the folder itself")
    if not is_plain_folder(folder):
        raise PublishingError(f"{folder} is not a folder; name one with --out, or a new name")
    stranger = foreign(folder)
    if stranger is None:
        return
    kind = "is a link" if stranger.is_symlink() else "was not written by thirdstop"
    raise PublishingError(
        f"{stranger} {kind}; publishing would delete it: move it away, or publish into an empty folder"
    )


def require_apart(out: Path, book: Path) -> None:
    """Refuse a folder that is the book, holds the book, or lies in its recipes or pages.

    Raises PublishingError. Links in either path are followed before they are compared.
    """
    out, book = out.resolve(), book.resolve()
    if book == out or book.is_relative_to(out):
        raise PublishingError(
            f"{out} holds the book; publish into a folder of its own, such as {book / 'site'}"
        )
    for name in ("recipes", "pages", "themes"):
        source = book / name
        if out.is_relative_to(source):
            raise PublishingError(f"{out} is inside the book's {name}; publish into a folder of its own")


def require_safe_names(files: Iterable[str]) -> None:
    """Refuse names that would leave the folder, hide the marker, or fall together on another system.

    Raises PublishingError naming the first such path.
    """
    seen: dict[str, str] = {}
    ordered = sorted(files)
    for path in ordered:
        if not _NO_PART.isdisjoint(path.split("/")) or "\\" in path or "\0" in path or "\n" in path:
            raise PublishingError(f"'{path}' is not a file name that a site can have")
        if path in (MARKER, KEPT):
            raise PublishingError(f"'{path}' is kept for thirdstop's own use")
        other = seen.setdefault(path.casefold(), path)
        if other != path:
            raise PublishingError(f"'{other}' and '{path}' differ only by capitals")
    for folder in sorted(folders_of(ordered)):
        if folder.casefold() in seen:
            raise PublishingError(f"'{folder}' would be a file and a folder at once")
