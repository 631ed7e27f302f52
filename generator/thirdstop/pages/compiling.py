"""Templates as they were compiled, kept where Python keeps its own compiled modules.

To compile a page's templates takes longer than to fill them. What is kept is as much program as those modules
are, so it stands among them, never beside a book; and it is believed only by a digest of all that it is made
of: the template, Jinja, and the module that says how templates are compiled.
"""

import os
import sys
from contextlib import suppress
from hashlib import sha256
from importlib.metadata import version
from importlib.util import cache_from_source
from pathlib import Path

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket


class Compiled(BytecodeCache):
    """What is kept; `module` is the one that says how templates are compiled."""

    def __init__(self, module: Path) -> None:
        self._beside = Path(cache_from_source(str(module)))
        self._made_of = f"{version('jinja2')} {sha256(module.read_bytes()).hexdigest()}"

    def get_source_checksum(self, source: str) -> str:
        """Digest of all that a template's code is made of."""
        return sha256(f"{self._made_of} {source}".encode()).hexdigest()

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take what is kept, unless it is torn or was made of something else."""
        with suppress(OSError):
            digest, _, data = self._place(bucket).read_bytes().partition(b"\n")
            if digest == _digest(data):
                bucket.bytecode_from_string(data)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep a template's code, where Python may keep a module's."""
        if sys.dont_write_bytecode:
            return
        data, place = bucket.bytecode_to_string(), self._place(bucket)
        written = place.with_name(f"{place.name}.{os.getpid()}.part")
        with suppress(OSError):
            place.parent.mkdir(parents=True, exist_ok=True)
            written.write_bytes(_digest(data) + b"\n" + data)
            written.replace(place)

    def _place(self, bucket: Bucket) -> Path:
        return self._beside.with_name(f"{self._beside.stem}.{bucket.key}.template")


def _digest(data: bytes) -> bytes:
    return sha256(data).hexdigest().encode()
