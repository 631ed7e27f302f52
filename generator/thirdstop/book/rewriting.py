"""A YAML file with some of its values changed: comments, order and everything else stay as they are."""

import contextlib
import json
import os
import re
import tempfile
from pathlib import Path as FilePath

import yaml

from thirdstop.book.marks import Path
from thirdstop.errors import PublishingError, UsageError

_PLAIN = re.compile(r"[A-Za-z0-9+][A-Za-z0-9 .+/-]*")
"""What may stand in a file without quotes, also in braces."""


def quoted(value: str) -> str:
    """A value as it may stand in a file, also in braces."""
    return value if _PLAIN.fullmatch(value) else json.dumps(value, ensure_ascii=False)


def with_value(text: str, path: Path, value: str) -> str:
    """The text with what stands at one place replaced, or put there where nothing stood.

    `value` is as it shall stand in the file: a scalar, a mapping in braces, or, for a new key of a block
    mapping, lines that begin with a line break. The mapping or list that holds the place must be there; one
    more than the last item of a list is put at its end. Raises UsageError for any other place.
    """
    holder = _node(text, path[:-1])
    part = path[-1]
    if isinstance(part, int):
        if not isinstance(holder, yaml.SequenceNode) or not 0 <= part <= len(holder.value):
            raise _nowhere(path)
        if part == len(holder.value):
            return _appended(text, holder, value)
        return _replaced(text, holder.value[part], value)
    if not isinstance(holder, yaml.MappingNode):
        raise _nowhere(path)
    for key, node in holder.value:
        if key.value == part:
            return _replaced(text, node, value)
    return _inserted(text, holder, part, value)


def without(text: str, key: str) -> str:
    """The text without a key of its top mapping, what stands under it, and one empty line before."""
    top = _node(text, ())
    for name, node in top.value if isinstance(top, yaml.MappingNode) else ():
        if name.value == key:
            start = name.start_mark.index
            end = _line_end(text, _last_leaf_end(text, node))
            before = text[:start]
            return (before[:-1] if before.endswith("\n\n") else before) + text[end + 1 :]
    return text


def holds(text: str, path: Path) -> bool:
    """Whether anything stands at that place."""
    try:
        _node(text, path)
    except UsageError:
        return False
    return True


def _node(text: str, path: Path) -> yaml.Node:
    node = yaml.compose(text, Loader=yaml.SafeLoader)
    for part in path:
        if isinstance(node, yaml.MappingNode):
            node = next((value for key, value in node.value if key.value == part), None)
        elif isinstance(node, yaml.SequenceNode) and isinstance(part, int) and part < len(node.value):
            node = node.value[part]
        else:
            node = None
    if node is None:
        raise _nowhere(path)
    return node


def _nowhere(path: Path) -> UsageError:
    return UsageError(f"the file has no place for {'.'.join(map(str, path))}")


def _replaced(text: str, node: yaml.Node, value: str) -> str:
    end = _last_leaf_end(text, node) if not _in_brackets(node) else node.end_mark.index
    return text[: node.start_mark.index] + value + text[end:]


def _in_brackets(node: yaml.Node) -> bool:
    return isinstance(node, yaml.CollectionNode) and bool(node.flow_style)


def _inserted(text: str, holder: yaml.MappingNode, key: str, value: str) -> str:
    between = "" if value.startswith("\n") else " "
    if holder.flow_style:
        return _before_bracket(text, holder, f"{key}:{between}{value}")
    end = _line_end(text, _last_leaf_end(text, holder))
    indent = " " * holder.value[0][0].start_mark.column
    return f"{text[:end]}\n{indent}{key}:{between}{value}{text[end:]}"


def _appended(text: str, holder: yaml.SequenceNode, value: str) -> str:
    if holder.flow_style:
        return _before_bracket(text, holder, value)
    end = _line_end(text, _last_leaf_end(text, holder))
    indent = " " * holder.start_mark.column
    return f"{text[:end]}\n{indent}- {value}{text[end:]}"


def _before_bracket(text: str, holder: yaml.CollectionNode, addition: str) -> str:
    bracket = holder.end_mark.index - 1
    head = text[:bracket].rstrip()
    joined = f"{head}, {addition}" if holder.value else f"{head}{addition}"
    return joined + text[bracket:]


def _last_leaf_end(text: str, node: yaml.Node) -> int:
    """Where the last thing written in a node ends; a block's own end mark lies on a later line."""
    while isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(node, yaml.MappingNode) else last
    end: int = node.end_mark.index
    return node.start_mark.index + len(text[node.start_mark.index : end].rstrip())


def _line_end(text: str, at: int) -> int:
    found = text.find("\n", at)
    return len(text) if found < 0 else found


def replace_file(file: FilePath, before: str, after: str) -> None:
    """Replaces a file in one step; a fault on the way leaves it as it was.

    `before` is the text that was read from it, line ends folded. Raises PublishingError where it was changed
    meanwhile or can't be written.
    """
    data = _bytes(file, before, after)
    try:
        _replace(file.resolve(), data)
    except OSError as error:
        raise PublishingError(f"{file} can't be written: {(error.strerror or '').lower()}") from error


def _bytes(file: FilePath, before: str, after: str) -> bytes:
    """The new bytes, with the file's own line ends and byte order mark."""
    try:
        now = file.read_bytes()
    except OSError as error:
        raise PublishingError(f"{file} can't be read: {(error.strerror or '').lower()}") from error
    mark = b"\xef\xbb\xbf" if now.startswith(b"\xef\xbb\xbf") else b""
    plain = now.removeprefix(mark).decode("utf-8")
    if plain.replace("\r\n", "\n").replace("\r", "\n") != before:
        raise PublishingError(f"{file} was changed meanwhile; nothing was written")
    end = "\r\n" if "\r\n" in plain else "\n"
    return mark + after.replace("\n", end).encode("utf-8")


def _replace(file: FilePath, data: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}.", suffix=".next")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        FilePath(name).chmod(file.stat().st_mode & 0o7777)
        FilePath(name).replace(file)
    except BaseException:
        with contextlib.suppress(OSError):
            FilePath(name).unlink()
        raise
