"""Swap two folders in one step, where the system can: renameat2 with RENAME_EXCHANGE (Linux 3.15)."""

import ctypes
import errno
import os
import sys
from pathlib import Path

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
_CANNOT = frozenset({errno.ENOSYS, errno.EINVAL, errno.EOPNOTSUPP, errno.ENOTSUP})
"""The kernel, or this file system, has no exchange; anything else is a real fault."""


def exchange(one: Path, other: Path) -> bool:
    """Swap the two names; False where the system can't. Raises OSError for any other failure."""
    if not sys.platform.startswith("linux"):
        return False
    libc = ctypes.CDLL(None, use_errno=True)
    if not hasattr(libc, "renameat2"):  # glibc before 2.28
        return False
    libc.renameat2.argtypes = [ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_uint]
    done = libc.renameat2(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE)
    if done == 0:
        return True
    code = ctypes.get_errno()
    if code in _CANNOT:
        return False
    raise OSError(code, os.strerror(code), str(one), None, str(other))
