"""The folders of a site that was switched out, emptied and kept for the next one.

A long site has a folder for each recipe, and a new one is put together beside the former: on many file
systems it takes far longer to make so many folders, and to remove them again, than to name all their files
anew. So the former ones wait, empty, beside what else is kept of the book. Nothing is believed of them: they
serve where they are plain, empty and such as would be made now, and else all are made anew.
"""

import os
from collections.abc import Iterator, Set
from contextlib import contextmanager, suppress
from pathlib import Path

from thirdstop.errors import PublishingError
from thirdstop.publishing import places
from thirdstop.publishing.locking import locked


def lend(spare: Path, new: Path, wanted: Set[str]) -> set[str]:
    """Move into a new site those of the kept folders that are wanted in it, and remove the others; returns
    which it has now.
    """
    lent: set[str] = set()
    with suppress(OSError), _alone_with(spare):
        there = _kept_in(spare)
        like = _owned(os.lstat(new))
        # where others may enter them than might enter those made now, none will do
        fit = there.keys() & wanted if set(there.values()) == {like} else set()
        for folder in sorted(there.keys() - fit, reverse=True):
            (spare / folder).rmdir()
        for top in sorted(folder for folder in fit if "/" not in folder):
            (spare / top).rename(new / top)
            lent |= {folder for folder in fit if folder.partition("/")[0] == top}
    return lent


def put_by(former: Path, spare: Path) -> None:
    """Keep the folders of a former site, its files gone; those that can't be moved stay where they are."""
    with suppress(OSError), _alone_with(spare):
        spare.mkdir(exist_ok=True)
        for top in sorted(former.iterdir()):
            if places.is_plain_folder(top):
                top.rename(spare / top.name)


@contextmanager
def _alone_with(spare: Path) -> Iterator[None]:
    """While no other run is there, which publishes the same book elsewhere. Raises OSError where one is, or
    where a link stands in the way: whatever it leads to is not ours.
    """
    if spare.parent.is_symlink() or spare.is_symlink():
        raise OSError(f"{spare} is a link")
    try:
        with locked(spare.with_name(f"{spare.name}-lock")):
            yield
    except PublishingError as error:
        raise OSError(str(error)) from error


def _kept_in(spare: Path) -> dict[str, tuple[int, int, int]]:
    """Every folder that is kept, with whose it is. Raises OSError where anything else is among them: somebody
    put it there.
    """
    start = len(str(spare)) + 1
    found = {}
    for entry in places.entries_in(spare):
        if not entry.is_dir(follow_symlinks=False):
            raise OSError(f"{entry.path} is no folder")
        path = entry.path[start:].replace(os.sep, "/")
        found[path] = _owned(entry.stat(follow_symlinks=False))
    return found


def _owned(found: os.stat_result) -> tuple[int, int, int]:
    return found.st_mode, found.st_uid, found.st_gid
