"""The command ``identify``: names of conductors at the terminal and in the file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from circuits import built
from click.testing import CliRunner

from diagramgen.app.main import group
from diagramgen.edit.set_colours import coloured_bytes

COLOURS = "red,white,green,black,bare"
METERED = ["red to white: 4.1k", "green to black: 4.3k", "red to green: open", "bare to cover: joined",
           "red to bare: open",
           "green to bare: open", "white to black: open", "tap red to white: slug", "tap green to black: screw",
           "kick red to white: plus", "kick green to black: minus", "magnet slug: south", "magnet screw: north",
           "red to black: open", "white to green: open", "white to bare: open", "black to bare: open"]
LEADS = """leads:
  - neck.a start -> volume.ten   # hot
  - neck.a finish -> neck.b finish
  - neck.b start -> volume.case
  - neck.bare -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
"""


def run(*args: str, typed: str | None = None) -> tuple[int, str]:
    result = CliRunner().invoke(group, ["identify", *args], input=typed)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, " ".join(result.output.split())


def lines() -> list[str]:
    return [x for m in METERED for x in ("--metered", m)]


def test_a_whole_set_of_readings_names_every_conductor() -> None:
    code, said = run("--symbol", "dual-coil", "--conductors", COLOURS, *lines(), "--json")
    found = json.loads(said)
    names = {c["lug"]: c["colour"] for c in found["conductors"]}
    assert code == 0
    assert found["settled"], found
    assert names["bare"] == "bare"
    assert {names["a start"], names["a finish"]} == {"red", "white"}
    # The slug coil's south pole and clockwise winding swing minus on finish, so plus is red on start.
    assert names["a start"] == "red"
    assert names["b finish"] == "black"


def test_without_readings_the_first_measurement_is_named() -> None:
    code, said = run("--symbol", "single-coil-tapped", "--conductors", "red,white,black")
    assert code == 0
    assert "next: ohms from" in said


def test_asked_one_at_a_time() -> None:
    code, said = run("--symbol", "single-coil-tapped", "--conductors", "red,white,black", "--ask",
                     typed="nonsense\n4k\n\n")
    assert code == 0
    assert "is no reading" in said
    assert "1 measurement " in said or "2 measurements" in said


@pytest.mark.parametrize("entry", [
    "  neck: {symbol: dual-coil, through: pickup}   # from the box\n",
    "  neck: dual-coil, 3k9 4k0   # from the box\n",
    "  neck:   # from the box\n    symbol: dual-coil\n    note: keep\n",
    "  neck: {symbol: dual-coil, colours: {a start: pink}}   # from the box\n",
    "  neck:   # from the box\n    colours:\n      a start: pink\n      a finish: blue\n    symbol: dual-coil\n",
])
def test_only_the_parts_own_entry_changes_in_the_file(entry: str, tmp_path: Path) -> None:
    entry = entry.replace(", through: pickup", "")
    text = f"format: 1 # kept\ntitle: t\nparts:\n{entry}  volume: pot-24, 500k log\n  output: jack-mono-open\n{LEADS}"
    new = coloured_bytes(text.encode(), "neck", {"a start": "red", "a finish": "white"}).decode()
    made = built(new)
    assert {k: v.word for k, v in made.parts["neck"].colours.items()} == {"a start": "red", "a finish": "white"}
    assert "# from the box" in new
    head, tail = text[: text.index("  neck:")], text[text.index("  volume: pot-24"):]
    assert new.startswith(head)
    assert new.endswith(tail)
    assert "pink" not in new
    if "3k9" in entry:
        assert made.parts["neck"].values["a-resistance"] == 3900


def test_write_puts_the_colours_in_and_only_when_all_are_settled(tmp_path: Path) -> None:
    build = tmp_path / "b.yaml"
    text = f"format: 1\ntitle: t\nparts:\n  neck: dual-coil\n  volume: pot-24\n  output: jack-mono-open\n{LEADS}"
    build.write_text(text)
    code, said = run(str(build), "neck", "--conductors", COLOURS, "--metered", METERED[0], "--write")
    assert code == 2
    assert "nothing was written" in said
    assert build.read_text() == text
    code, said = run(str(build), "neck", "--conductors", COLOURS, *lines(), "--write")
    assert code == 0, said
    assert "a start: red" in build.read_text()
    assert CliRunner().invoke(group, ["check", str(build)]).exit_code == 0


@pytest.mark.parametrize(("args", "words"), [
    (("--symbol", "dual-coyl", "--conductors", COLOURS), "there is no symbol"),
    (("--symbol", "dual-coil", "--conductors", "red,white"), "has 5 conductors"),
    (("--symbol", "dual-coil", "--conductors", "red,red,white,black,bare"), "cannot be told apart"),
    (("--symbol", "dual-coil", "--conductors", "rouge,white,green,black,bare"), "is not a colour"),
    (("--symbol", "pot-24", "--conductors", "red,white,green"), "is no pickup"),
    ((), "name a build"),
])
def test_wrong_usage_is_said_in_words(args: tuple[str, ...], words: str) -> None:
    code, said = run(*args)
    assert code == 2
    assert words in said


def test_measurements_may_stand_in_a_text_file(tmp_path: Path) -> None:
    listed = tmp_path / "metered.txt"
    listed.write_text("# cable on the bench\n" + "\n".join(METERED) + "\n")
    kind = ("--symbol", "dual-coil", "--conductors", COLOURS)
    assert run(*kind, "--metered-in", str(listed)) == run(*kind, *lines())
