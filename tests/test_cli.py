"""The command line: what each command prints, and its exit status."""

import json
import re
import shutil
from pathlib import Path
from types import SimpleNamespace

import click
import pytest
from click.testing import CliRunner, Result

from thirdstop import starting
from thirdstop.book.book import open_book
from thirdstop.cli import main
from thirdstop.publishing.printing import Binder
from thirdstop.running import evaluate_quickly, open_and_stage

DEMO = Path(__file__).resolve().parents[1] / "recipes"


def run(*words: str) -> Result:
    """One run of the command line."""
    return CliRunner().invoke(main, list(words), prog_name="thirdstop")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A book of two demo recipes, to change and to break."""
    root = tmp_path / "book"
    (root / "recipes").mkdir(parents=True)
    shutil.copy(DEMO / "studio.yaml", root)
    for name in ("01-borrowed-window", "10-clean-sheet"):
        shutil.copy(DEMO / "recipes" / f"{name}.yaml", root / "recipes")
    return root


@pytest.mark.parametrize("name", sorted(main.commands))
def test_every_command_has_help_with_an_example(name: str) -> None:
    """--help says what the command does and shows one call of it."""
    result = run(name, "--help")

    assert result.exit_code == 0
    assert f"Example: thirdstop {name}" in result.output


def test_the_readme_names_every_command_that_there_is_and_no_other() -> None:
    """The README's own-book section uses commands that exist."""
    readme = (DEMO.parent / "README.md").read_text(encoding="utf-8")
    used = {line.split()[1] for line in readme.splitlines() if line.startswith("thirdstop ")}

    assert used <= set(main.commands)


def test_meter_prints_documented_json(book: Path) -> None:
    """`meter --json` prints every key that docs/json.md names, and shares that sum to 1."""
    result = run("meter", "borrowed-window", "--book", str(book), "--json")
    data = json.loads(result.output)
    documented = (DEMO.parent / "docs" / "json.md").read_text(encoding="utf-8")

    assert result.exit_code == 0
    assert all(f"`{key}`" in documented for key in data)
    assert all(f"`{key}`" in documented for reading in data["readings"] for key in reading)
    assert all(abs(sum(reading["budget"].values()) - 1) < 1e-3 for reading in data["readings"])
    assert data["ratio"]["convention"] == "lit to shadow"


def test_meter_prints_the_scene(book: Path) -> None:
    """`meter --scene` prints geometry, every emitter with its light, every point with its receptor."""
    data = json.loads(run("meter", "clean-sheet", "--book", str(book), "--scene").output)

    assert data["format"] == "thirdstop scene 1"
    assert [emitter["name"] for emitter in data["emitters"]] == ["key", "paper lamp"]
    assert all(emitter["luminance_cd_s_m2"] > 1 for emitter in data["emitters"])
    assert {point["receptor"] for point in data["points"]} == {"flat", "dome"}


@pytest.mark.parametrize("recipe", ["clean-sheet", "velvet-villain", "through-the-sheet", "half-a-mask"])
def test_every_key_of_the_scene_is_documented(recipe: str) -> None:
    """Grids, beams, sheets and metallised cards among them."""
    documented = (DEMO.parent / "docs" / "scene.md").read_text(encoding="utf-8")
    data = json.loads(run("meter", recipe, "--book", str(DEMO), "--scene").output)
    keys, kinds = _keys(data), set(re.findall(r'"kind": "(\w+)"', json.dumps(data)))

    assert {"panels", "sitter", "kind"} <= keys
    assert [key for key in keys if f"`{key}`" not in documented] == []
    assert [kind for kind in kinds if f"`{kind}`" not in documented] == []


def _keys(data: object) -> set[str]:
    """Of every object in it."""
    if isinstance(data, dict):
        return {*data, *(key for value in data.values() for key in _keys(value))}
    return {key for value in data for key in _keys(value)} if isinstance(data, list) else set()


def test_meter_prints_a_table(book: Path) -> None:
    """The table names the click, the ratio with its convention, and what lights the shadow cheek."""
    output = run("meter", "borrowed-window", "--book", str(book)).output

    assert "click 16 of 25" in output
    assert "lit to shadow" in output
    assert "card" in output


def test_a_recipe_that_is_not_there_is_wrong_usage(book: Path) -> None:
    """The nearest recipe is suggested; exit status 2."""
    result = run("meter", "borowed-window", "--book", str(book))

    assert result.exit_code == 2
    assert result.output == ("there is no recipe 'borowed-window'; did you mean '01-borrowed-window'?\n")


def test_an_imperial_house_is_told_its_faults_in_feet(book: Path) -> None:
    """What was written stays as it was; data for programs stays in metres."""
    for name, old, new in (
        ("studio.yaml", "units: metric", "units: imperial"),
        ("recipes/01-borrowed-window.yaml", "distance: 2 m", "distance: 20 cm"),
    ):
        text = (book / name).read_text(encoding="utf-8")
        assert text.count(old) == 1
        (book / name).write_text(text.replace(old, new), encoding="utf-8")
    told = run("proof", "--book", str(book))
    (fault,) = json.loads(run("proof", "--book", str(book), "--json").output)["faults"]

    assert told.exit_code == 1
    assert "a camera's distance is at least 1 ft; given: 20 cm; write: 1 ft or more" in told.output
    assert fault["write"] == "30 cm or more"


def test_no_book_is_wrong_usage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In an empty folder the command says how to name or make a book."""
    monkeypatch.chdir(tmp_path)
    result = run("proof")

    assert result.exit_code == 2
    assert "thirdstop start DIR" in result.output


def test_faults_are_exit_status_1_and_each_on_its_line(book: Path) -> None:
    """Faults of two files come together, each as file:line:column."""
    for name, old, new in (
        ("01-borrowed-window", "battery 400", "batery 400"),
        ("10-clean-sheet", "f/8", "8"),
    ):
        path = book / "recipes" / f"{name}.yaml"
        path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    result = run("proof", "--book", str(book))

    assert result.exit_code == 1
    assert "recipes/10-clean-sheet.yaml:" in result.output
    assert "Traceback" not in result.output


def test_proof_json_holds_faults(book: Path) -> None:
    """`proof --json` prints the faults as data, with the same exit status."""
    path = book / "recipes" / "01-borrowed-window.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("battery 400", "batery 400"), encoding="utf-8")
    result = run("proof", "--book", str(book), "--json")
    data = json.loads(result.output)

    assert result.exit_code == 1
    assert [(fault["line"], fault["given"]) for fault in data["faults"]] == [(15, "batery 400")]


def test_a_target_no_set_up_reaches_is_a_fault(book: Path) -> None:
    """A ratio that the room forbids even without the card is named with what the room leaves."""
    path = book / "recipes" / "01-borrowed-window.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("ratio: 4:1", "ratio: 60:1"), encoding="utf-8")
    result = run("proof", "--book", str(book))

    assert result.exit_code == 1
    assert "recipes/01-borrowed-window.yaml:30:17: no bright card can reach this" in result.output
    assert "the room alone leaves" in result.output


def test_start_makes_a_book_that_proofs(tmp_path: Path) -> None:
    """A new book has no fault and its files name the house."""
    folder = tmp_path / "ours"
    made = run("start", str(folder), "--name", "The Loft")
    proofed = run("proof", "--book", str(folder))

    assert (made.exit_code, proofed.exit_code) == (0, 0)
    assert "Taken: a room of 3.2 m × 4.8 m × 2.5 m" in made.output
    assert "name: The Loft" in (folder / "studio.yaml").read_text(encoding="utf-8")


def test_start_never_writes_into_a_folder_that_holds_something(book: Path) -> None:
    """Exit status 2, and the folder is as it was."""
    before = sorted(book.rglob("*"))
    result = run("start", str(book))

    assert result.exit_code == 2
    assert sorted(book.rglob("*")) == before


@pytest.mark.parametrize("name", ["two\nlines", "", " ", "n" * 61, "left\u202eright", "a\x1bb"])
def test_a_house_name_that_is_no_line_of_text_is_refused(tmp_path: Path, name: str) -> None:
    """Nothing is written for it."""
    result = run("start", str(tmp_path / "x"), "--name", name)

    assert result.exit_code == 2
    assert not (tmp_path / "x").exists()


@pytest.mark.parametrize("name", ["a: b", "'quoted'", "Tom's", "true", "12", "- x", "# 1", "<b>&amp;", "~"])
def test_any_line_of_text_is_a_house_name(tmp_path: Path, name: str) -> None:
    """What YAML would read as something else is quoted, and reads as it was given."""
    result = run("start", str(tmp_path / "x"), "--name", name)

    assert result.exit_code == 0
    assert open_book(tmp_path / "x").studio.name == name


def test_a_new_book_is_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When a file can't be written, those before it and the folders made for them are gone again."""
    monkeypatch.setattr(starting, "_texts", lambda answers: {Path("a/b"): "", Path("a/b/c"): ""})
    result = run("start", str(tmp_path / "x" / "y"))

    assert result.exit_code == 2
    assert "can't be written" in result.output
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("place", ["file", "file/x", "n" * 300])
def test_a_place_that_can_hold_no_book_is_wrong_usage(tmp_path: Path, place: str) -> None:
    """Exit status 2 in one line."""
    (tmp_path / "file").write_text("kept", encoding="utf-8")
    result = run("start", str(tmp_path / place))

    assert result.exit_code == 2
    assert len(result.output.splitlines()) == 1
    assert (tmp_path / "file").read_text(encoding="utf-8") == "kept"


def test_ctrl_c_is_one_word_and_its_own_exit_status(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """130, as shells number it, and no traceback."""

    def stopped(*given: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("thirdstop.proofing.proof", stopped)
    result = run("proof", "--book", str(book))

    assert (result.exit_code, result.output) == (130, "Stopped.\n")


def test_no_name_at_all_means_no_recipe(book: Path) -> None:
    """A recipe whose whole name is its number has no shorter one."""
    text = (book / "recipes" / "01-borrowed-window.yaml").read_text(encoding="utf-8")
    other = text.replace("title: Borrowed window", "title: Twelve")
    (book / "recipes" / "12.yaml").write_text(other, encoding="utf-8")

    result = run("meter", "", "--book", str(book))

    assert result.exit_code == 2
    assert result.output.startswith("there is no recipe ''; the book has ")


def test_a_short_name_that_two_recipes_share_chooses_neither(book: Path) -> None:
    """'borrowed-window' stands for 01-borrowed-window only as long as there is no other."""
    text = (book / "recipes" / "01-borrowed-window.yaml").read_text(encoding="utf-8")
    other = text.replace("title: Borrowed window", "title: Borrowed window again")
    (book / "recipes" / "99-borrowed-window.yaml").write_text(other, encoding="utf-8")
    for command in ("meter", "place", "print"):
        result = run(command, "borrowed-window", "--book", str(book))

        assert result.exit_code == 2
        assert result.output == (
            "'borrowed-window' may be 01-borrowed-window and 99-borrowed-window; write one of them\n"
        )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["calibrate", "x.yaml", "--minutes", "10"], "write --plan beside it, or leave it out"),
        (["calibrate", "--plan", "--json"], "leave out --write and --json"),
        (["meter", "clean-sheet", "--scene", "--json"], "write --scene for the staging, --json for readings"),
        (["proof", "--book", "/dev/null"], "/dev/null is not a folder; name the book's"),
    ],
)
def test_wrong_usage_says_what_to_write(words: list[str], said: str) -> None:
    """In a line, with exit status 2."""
    result = run(*words)

    assert result.exit_code == 2
    assert said in result.output
    assert result.output.count("\n") == 1


def test_a_full_disk_is_told_in_one_line(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error of the operating system is one line, exit status 1."""

    def full(*given: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("thirdstop.reporting.readings_table", full)
    result = run("meter", "borrowed-window", "--book", str(book))

    assert result.exit_code == 1
    assert result.output == "what was to be printed can't be read or written: no space left on device\n"


def test_every_command_is_a_click_command() -> None:
    """The group holds commands only, each with a docstring."""
    assert all(isinstance(command, click.Command) and command.help for command in main.commands.values())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "name one recipe, or ask for --all\n"),
        (("borrowed-window", "--all"), "name one recipe, or ask for --all\n"),
        (("borrowed-window", "--tags", "--paper", "A5"), "stand tags are A6; --paper is for set-up cards\n"),
    ],
)
def test_print_asks_for_one_thing(words: tuple[str, ...], said: str, book: Path) -> None:
    """A recipe or the whole book; a paper for cards alone: exit status 2 before anything is computed."""
    result = run("print", *words, "--book", str(book))

    assert (result.exit_code, result.output) == (2, said)


def test_only_what_might_have_written_says_that_it_did_not(book: Path) -> None:
    """`proof` never writes, and says nothing of it; `publish` does."""
    recipe = book / "recipes" / "01-borrowed-window.yaml"
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("f/8", "f/0", 1), encoding="utf-8")
    proof = run("proof", "--book", str(book))
    publish = run("publish", "--book", str(book), "--out", str(book.parent / "site"))

    assert proof.output.splitlines()[-1] == "1 fault."
    assert publish.output.splitlines()[-1] == "1 fault; nothing was written."


def test_print_takes_a_paper_in_any_case(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """'letter' is Letter, also in the file's name."""
    asked: list[tuple[object, ...]] = []
    monkeypatch.setattr(
        "thirdstop.running.evaluate_all", lambda *given, **more: [SimpleNamespace(halts=False)]
    )
    monkeypatch.setattr("thirdstop.publishing.printing.print_recipe", lambda *given: asked.append(given[2:]))
    monkeypatch.chdir(tmp_path)
    result = run("print", "borrowed-window", "--paper", "letter", "--book", str(book))

    assert asked == [("Letter", Path("01-borrowed-window-Letter.pdf"))]
    assert result.output == "01-borrowed-window-Letter.pdf: 1 page\n"


def test_print_tells_which_cards_a_binder_leaves_out(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The binder is there; what is too long is told on standard error, and the status is 1, halts or not."""
    bound = Binder(4, ("one: the set-up card is 9 mm too long", "two: the set-up card is 3 mm too long"))
    monkeypatch.setattr("thirdstop.running.evaluate_all", lambda *given, **more: [])
    monkeypatch.setattr("thirdstop.cli.tell_tally", lambda done: None)
    monkeypatch.setattr("thirdstop.publishing.printing.print_binder", lambda *given: bound)
    monkeypatch.chdir(tmp_path)
    result = run("print", "--all", "--paper", "A5", "--book", str(book))

    assert result.exit_code == 1
    assert result.stdout == "set-up-cards-A5.pdf: 4 pages\n"
    assert result.stderr == (
        "one: the set-up card is 9 mm too long; its page says so\n"
        "two: the set-up card is 3 mm too long; its page says so\n"
    )


def test_print_refuses_a_file_of_the_books_before_it_computes(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line, exit status 2, and the recipe is as it was."""
    monkeypatch.setattr(
        "thirdstop.running.evaluate_all", lambda *given, **more: pytest.fail("it was computed")
    )
    recipe = book / "recipes" / "01-borrowed-window.yaml"
    before = recipe.read_bytes()
    result = run("print", "borrowed-window", "--out", str(recipe), "--book", str(book))
    whole = run("print", "--all", "--out", str(book / "studio.yaml"), "--book", str(book))

    assert (result.exit_code, whole.exit_code) == (2, 2)
    assert result.output == (
        "01-borrowed-window.yaml would stand in the book's own recipes; "
        f"write: --out {book / '01-borrowed-window-A4.pdf'}\n"
    )
    assert whole.output == (
        f"studio.yaml is the book's own studio file; write: --out {book / 'set-up-cards-A4.pdf'}\n"
    )
    assert recipe.read_bytes() == before


def test_start_takes_answers_from_flags(tmp_path: Path) -> None:
    """What a flag gives stands in the book, the rest is said; the file keeps its comments."""
    folder = tmp_path / "ours"
    words = ("--width", "10 ft 6 in", "--walls", "0.5", "--guide-number", "38 m", "--lamp", "Tom's: lamp #1")
    result = run("start", str(folder), *words, "--card", "3 ft x 4 ft", "--units", "imperial")
    studio = open_book(folder).studio
    text = (folder / "studio.yaml").read_text(encoding="utf-8")

    assert result.exit_code == 0
    assert "Taken: a room of 10 ft 6 in × 4.8 m × 2.5 m with walls of 0.5" in result.output
    assert studio.room.width.m == pytest.approx(10.5 * 0.3048)
    assert studio.lamps[0].name == "Tom's: lamp #1"
    assert studio.lamps[0].guide_numbers[0].guide_number.m == 38
    assert (studio.habits.units, studio.room.surfaces.left_wall) != ("metric", "white paint")
    assert "# between the side walls" in text
    assert text.startswith("# yaml-language-server: $schema=./schemas/studio.schema.json")


@pytest.mark.parametrize(
    ("flag", "text", "said"),
    [
        ("width", "2 m", "--width: a width of 2 m is too little: lamp, sitter and card stand side by side"),
        ("height", "2.5", "--height: a length needs its unit; write: 2.5 m"),
        ("length", "14", "--length: a length needs its unit; write: 14 m or 14 ft"),
        ("width", "126", "--width: a length needs its unit; write: 126 in"),
        ("length", "2", "--length: a length needs its unit; write: 2 m"),
        ("card", "3 x 4", "--card: a size needs its unit; write: 3 x 4 ft"),
        ("walls", "beige", "--walls: there is no paint 'beige' in the list"),
        ("walls", "1", "--walls: no wall returns 1 of the light"),
        ("energy", "5 J", "--energy: 5 J is no studio lamp's energy"),
        ("card", "3 x 4 m", "--card: a card of 3 x 4 m doesn't go beside a seated face"),
        ("units", "feet", "--units: 'feet' are no units here; write: metric or imperial"),
        ("lamp", "", "--lamp is empty"),
    ],
)
def test_start_refuses_a_wrong_answer_with_its_flag(tmp_path: Path, flag: str, text: str, said: str) -> None:
    """One line with the reason, exit status 2, and nothing is written."""
    result = run("start", str(tmp_path / "x"), f"--{flag}", text)

    assert result.exit_code == 2
    assert said in result.output
    assert len(result.output.splitlines()) == 1
    assert not (tmp_path / "x").exists()


def test_start_asks_at_a_terminal_and_asks_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Enter takes the default; what can't be taken is asked again with the reason; all is in the book."""
    monkeypatch.setattr("thirdstop.cli.at_terminal", lambda: True)
    typed = ["The Loft", "2 m", "3 m", "", "", "beige", "light grey paint", "", "", "", "", ""]
    result = CliRunner().invoke(main, ["start", str(tmp_path / "x")], input="\n".join(typed) + "\n")
    studio = open_book(tmp_path / "x").studio

    assert result.exit_code == 0
    assert "too little: lamp, sitter and card stand side by side; write: 2.6 m or more" in result.output
    assert "there is no paint 'beige'" in result.output
    assert "Room: height, floor to ceiling [2.5 m]:" in result.output
    assert (studio.name, studio.room.width.m, studio.room.surfaces.back_wall) == (
        "The Loft",
        3.0,
        "light grey paint",
    )


def test_start_without_a_terminal_takes_the_defaults_and_says_so(tmp_path: Path) -> None:
    """No question, no waiting: one line says what was taken."""
    result = run("start", str(tmp_path / "x"))

    assert result.exit_code == 0
    assert result.output.startswith("Nobody to ask here, so taken: a room of 3.2 m × 4.8 m × 2.5 m")


def test_start_stopped_half_way_writes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The end of what is typed is an end, not a loop: exit status 130."""
    monkeypatch.setattr("thirdstop.cli.at_terminal", lambda: True)
    result = CliRunner().invoke(main, ["start", str(tmp_path / "x")], input="The Loft\n")

    assert result.exit_code == 130
    assert not (tmp_path / "x").exists()


@pytest.mark.parametrize(
    ("width", "length", "height", "card"),
    [("2.6 m", "3.9 m", "2.3 m", "180 x 180 cm"), ("6 m", "9 m", "4 m", "30 x 30 cm")],
)
def test_a_small_and_a_large_room_have_no_fault_and_no_halt(
    tmp_path: Path, width: str, length: str, height: str, card: str
) -> None:
    """In the smallest room that is taken and in a large one the first recipe stands and meets its target."""
    words = ("--width", width, "--length", length, "--height", height, "--card", card)
    assert run("start", str(tmp_path / "x"), *words).exit_code == 0
    _, (staged,) = open_and_stage(tmp_path / "x")
    findings = evaluate_quickly(staged).findings

    assert [finding for finding in findings if finding.verdict == "halt"] == []
    assert [finding.verdict for finding in findings if finding.check == "ratio"] == ["pass"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("start", ""), "FOLDER is empty; name a file or a folder"),
        (("start", " "), "FOLDER is empty; name a file or a folder"),
        (("place", "borrowed-window", "--studio", ""), "--studio is empty; name a file or a folder"),
        (("proof", "--book", ""), "--book is empty; name a file or a folder"),
        (("publish", "--out", ""), "--out is empty; name a file or a folder"),
    ],
)
def test_an_empty_name_is_not_this_folder(words: tuple[str, ...], said: str) -> None:
    """An unset variable of a shell leaves '': it is told, with exit status 2."""
    result = run(*words)

    assert (result.exit_code, result.output) == (2, f"{said}\n")
