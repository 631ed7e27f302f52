"""Make a folder durable with all that is in it, in one step where the system can: syncfs (Linux 2.6.39)."""

import ctypes
import os
import sys
from contextlib import suppress
from pathlib import Path

from thirdstop.publishing import places


def make_durable(folder: Path) -> None:
    """Return once everything in the folder would outlive a power cut. Raises OSError where it can't."""
    if not syncfs(folder):
        for entry in [*places.everything_in(folder), folder]:
            fsync(entry)


def syncfs(folder: Path) -> bool:
    """Have the whole file system that holds the folder written out; False where the system can't.

    Thousands of files and folders cost one step of its journal so, and not one each.
    """
    if not sys.platform.startswith("linux"):
        return False
    libc = ctypes.CDLL(None, use_errno=True)
    if not hasattr(libc, "syncfs"):
        return False
    handle = os.open(folder, os.O_RDONLY)
    try:
        if libc.syncfs(handle) != 0:
            code = ctypes.get_errno()
            raise OSError(code, os.strerror(code), str(folder))
    finally:
        os.close(handle)
    return True


def fsync(entry: Path) -> None:
    """The same of one file, or of one folder's list of names. Raises OSError for a file."""
    handle = os.open(entry, os.O_RDONLY)
    try:
        if not places.is_plain_folder(entry):
            os.fsync(handle)
            return
        with suppress(OSError):  # some file systems have none for folders; the renames still come in order
            os.fsync(handle)
    finally:
        os.close(handle)
