"""One publishing run at a time: a lock file beside the site, held by flock until the process ends."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from thirdstop.errors import PublishingError


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the lock while the block runs; the system lets go of it when the process dies.

    Raises PublishingError naming the process that holds it, or where the system has no flock.
    """
    handle = _take(path)
    try:
        yield
    finally:
        # Removed while still held: whoever waits on the old file sees that the name has moved on.
        path.unlink(missing_ok=True)
        os.close(handle)


def _take(path: Path) -> int:
    while True:
        handle = _open(path)
        try:
            _flock(handle, path)
            if _is_current(handle, path):
                os.ftruncate(handle, 0)
                os.write(handle, f"{os.getpid()}\n".encode())
                return handle
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)


def _open(path: Path) -> int:
    try:
        return os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o644)
    except OSError as error:
        raise PublishingError(_cant(path, error)) from error


def _cant(path: Path, error: OSError) -> str:
    """Why there is no lock, and what to do about it."""
    said = (error.strerror or "").lower()
    return (
        f"can't lock {path}: {said}; let this user write into {path.parent}, or publish into a folder of "
        "your own with --out"
    )


def _flock(handle: int, path: Path) -> None:
    try:
        import fcntl
    except ImportError as error:
        raise PublishingError(
            "this system has no file locks of the kind that publishing needs; "
            "publish on Linux, macOS or another Unix, or in the Linux of a Windows machine (WSL)"
        ) from error
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        holder = os.pread(handle, 32, 0).decode("ascii", "replace").strip() or "unknown"
        raise PublishingError(
            f"another run is publishing here (process {holder}); wait for it to end"
        ) from error
    except OSError as error:
        raise PublishingError(_cant(path, error)) from error


def _is_current(handle: int, path: Path) -> bool:
    """Whether the name still leads to the file that was locked (its last holder may have removed it)."""
    try:
        found = path.lstat()
    except FileNotFoundError:
        return False
    held = os.fstat(handle)
    return (found.st_dev, found.st_ino) == (held.st_dev, held.st_ino)
