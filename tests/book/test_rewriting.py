"""Values put into a YAML text: comments and order stay, whatever the style of what holds them."""

from pathlib import Path

import pytest
import yaml

from thirdstop.book.rewriting import replace_file, with_value, without
from thirdstop.errors import PublishingError, UsageError

TEXT = """\
# head
room:
  walls: {back: white paint, front: 0.4}   # two
  # between
  list:
    - {name: one, mass: 1 kg}
    - name: two            # second
      mass: 2 kg
  none: []
last: 1   # end
"""


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        (("room", "walls", "back"), "0.7", "  walls: {back: 0.7, front: 0.4}   # two"),
        (("room", "walls", "side"), "0.1", "  walls: {back: white paint, front: 0.4, side: 0.1}   # two"),
        (("room", "list", 0, "count"), "2", "    - {name: one, mass: 1 kg, count: 2}"),
        (("room", "list", 1, "count"), "2", "      count: 2"),
        (("room", "list", 2), "{name: three}", "    - {name: three}"),
        (("room", "none", 0), "one", "  none: [one]"),
        (("room", "new"), "[a, b]", "  new: [a, b]"),
        (("new",), "\n  a: 1", "new:"),
        (("last",), "2", "last: 2   # end"),
    ],
)
def test_one_line_changes(path: tuple[str | int, ...], value: str, line: str) -> None:
    """The line is there, every comment is still there, and YAML reads the value at its place."""
    changed = with_value(TEXT, path, value)

    assert line in changed.split("\n")
    assert [c for c in ("# head", "# two", "# between", "# second", "# end") if c not in changed] == []
    node = yaml.safe_load(changed)
    for part in path:
        node = node[part]
    assert node == yaml.safe_load(value)


def test_taking_a_key_away() -> None:
    """A key goes with all that stands under it and nothing else."""
    assert without(with_value(TEXT, ("new",), "\n  a: 1\n  b: [2]"), "new") == TEXT
    assert without(TEXT, "nothing") == TEXT


@pytest.mark.parametrize("path", [("room", "list", 5), ("no", "place"), ("last", "under")])
def test_no_such_place(path: tuple[str | int, ...]) -> None:
    """A place whose holder isn't there is refused."""
    with pytest.raises(UsageError):
        with_value(TEXT, path, "1")


def test_a_file_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    """What was not read is not overwritten; line ends stay as they are."""
    file = tmp_path / "a.yaml"
    file.write_bytes(b"a: 1\r\nb: 2\r\n")
    replace_file(file, "a: 1\nb: 2\n", "a: 3\nb: 2\n")
    assert file.read_bytes() == b"a: 3\r\nb: 2\r\n"

    with pytest.raises(PublishingError):
        replace_file(file, "a: 1\nb: 2\n", "a: 4\nb: 2\n")
    assert file.read_bytes() == b"a: 3\r\nb: 2\r\n"
    assert [path.name for path in tmp_path.iterdir()] == ["a.yaml"]
