"""Problems on a terminal: width, marker, colours; plain in a pipe. The terminal is a real pseudo-terminal."""

from __future__ import annotations

import itertools
import os
import re
import struct
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from running import BROKEN, SAMPLES, become, quick, run

from diagramgen.kernel.terminal_cells import cells, marked, shown, wrapped

pty = pytest.importorskip("pty", reason="missing: a pseudo-terminal")
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")

MANY = """format: 1
title: Ten faults
neck: leftt
paper: a5
job: [1]
parts:
  volume: pot-42, 250k log
  tone: pot-24, 25o log
  pickup: {symbol: single-coil, colors: {start: black}}
  output: jack-mono-open
leads:
  - pickup.finsh -> volume.ten
  - pickup.start => output.sleeve
  - pickup.start -> output.sleeve, purpel
  - output.tip -> outptu.tip
  - pickup.start -> output.sleeve, gauge 99
"""


def on_terminal(*arguments, columns=80, **surroundings):
    """What the command shows on a terminal of so many columns: the program runs in a copy of this process."""
    import fcntl
    import termios

    number, inner = pty.fork()
    if number == 0:
        _be_the_command(arguments, surroundings)
    fcntl.ioctl(inner, termios.TIOCSWINSZ, struct.pack("HHHH", 50, columns, 0, 0))
    said = []
    while True:
        try:
            piece = os.read(inner, 65536)
        except OSError:
            break
        if not piece:
            break
        said.append(piece)
    os.waitpid(number, 0)
    os.close(inner)
    return b"".join(said).decode().replace("\r\n", "\n")


def _be_the_command(arguments, surroundings):
    """In the copy: wait until the terminal has its width, then be the program; never come back into the tests."""
    while not os.get_terminal_size(1).columns:
        time.sleep(0.001)
    for name in ("NO_COLOR", "COLUMNS"):
        os.environ.pop(name, None)
    os.environ.update(surroundings)
    become(arguments, 0, 1, 2)


def marker_stands_under(said, word):
    """Whether a marker stands under the first letter of a word in a quoted line, counted in cells."""
    lines = ESCAPE.sub("", said).split("\n")
    for quoted, marker in itertools.pairwise(lines):
        if quoted.startswith("  | ") and marker.startswith("  | ") and marker.strip("| ") == "^":
            begin = quoted.find(word)
            if begin >= 0 and cells(quoted[:begin]) == cells(marker[:-1]):
                return True
    return False


def test_every_fault_of_a_file_is_said_in_one_run(tmp_path):
    build = tmp_path / "many.yaml"
    build.write_text(MANY)
    done = quick("check", str(build))
    said = {int(n) for n in re.findall(r"many\.yaml:(\d+):\d+: error", done.stderr)}
    assert {3, 4, 5, 7, 8, 9, 12, 13, 14, 15, 16} <= said


@pytest.mark.parametrize("columns", [30, 40, 60, 80, 132, 250])
def test_no_line_is_wider_than_the_terminal_and_markers_stand_right(columns, tmp_path):
    build = tmp_path / "b.yaml"
    build.write_text(MANY)
    said = _in(tmp_path, columns)
    plain = ESCAPE.sub("", said)
    for line in plain.split("\n"):
        # A word alone (a path, a list of names) may be longer than the narrowest terminals.
        assert cells(line) < columns or len(line.split()) <= 1 or columns == 30, line
    for word in ("leftt", "pickup.finsh", "purpel", "outptu.tip"):
        # On the narrowest the line is cut on both sides of the marker, the word's end with it.
        assert marker_stands_under(said, word[:5]), (word, said)


def _in(folder, columns, **surroundings):
    before = os.getcwd()
    os.chdir(folder)
    try:
        return on_terminal("check", "b.yaml", columns=columns, **surroundings)
    finally:
        os.chdir(before)


def test_a_marker_stands_under_its_word_behind_tabs_and_wide_letters(tmp_path):
    (tmp_path / "b.yaml").write_text(
        "format: 1\ntitle: x\nparts: {output: jack-mono-open}\nleads:\n"
        "  - {note: 配線図の注意, from: output.tipp, to: output.sleeve}\n"
        "  - {note: a,\tfrom: output.tpi,\tto: output.sleeve}\n"
        "  - {note: e\u0301te\u0301, from: output.tipe, to: output.sleeve}\n", encoding="utf-8")
    for columns in (44, 80):
        said = _in(tmp_path, columns)
        for word in ("output.tipp", "output.tpi", "output.tipe"):
            assert marker_stands_under(said, word), (columns, said)


def test_a_very_long_line_is_cut_around_the_marker(tmp_path):
    filling = ", ".join(f"p{i}: pot-24" for i in range(60))
    parts = f"{filling}, wrong: pott-24, {filling.replace('p', 'q')}"
    (tmp_path / "b.yaml").write_text(f"format: 1\ntitle: x\nparts: {{{parts}}}\n")
    said = _in(tmp_path, 70)
    assert marker_stands_under(said, "pott-24")
    quoted = [line for line in ESCAPE.sub("", said).split("\n") if "pott-24," in line and line.startswith("  | ")]
    assert quoted
    assert all(line.startswith("  | …") and line.endswith("…") and cells(line) <= 69 for line in quoted)


def test_colours_stand_on_a_terminal_alone_and_not_where_they_are_not_wanted(tmp_path):
    (tmp_path / "b.yaml").write_text(BROKEN)
    said = _in(tmp_path, 80)
    for coloured in ("error R", "^"):
        assert f"\x1b[31m\x1b[1m{coloured}" in said, coloured
    assert "\x1b[" not in _in(tmp_path, 80, NO_COLOR="1")
    piped = run("check", "b.yaml", cwd=tmp_path)
    assert "\x1b" not in piped.stdout + piped.stderr


def test_the_way_to_explain_is_said_once_on_a_terminal_and_never_in_a_pipe(tmp_path):
    (tmp_path / "b.yaml").write_text(MANY)
    assert _in(tmp_path, 80).count("diagramgen explain ") == 1
    done = run("check", "b.yaml", cwd=tmp_path)
    assert "diagramgen explain" not in done.stdout + done.stderr
    fine = on_terminal("check", str(SAMPLES / "one-volume.yaml"))
    assert "diagramgen explain" not in fine


def test_nothing_in_a_file_steers_the_terminal(tmp_path):
    """An escape inside quotes is read as its letter by YAML; said back, it must not reach the terminal."""
    (tmp_path / "b.yaml").write_text('format: 1\ntitle: x\nneck: "\\e[2Jleft"\npaper: "\\u202ea4"\n')
    said = _in(tmp_path, 80, NO_COLOR="1")
    assert "\x1b" not in said
    assert "\u202e" not in said
    assert "R103" in said


def test_widths_follow_the_unicode_standard():
    """Unicode standard, annex 11: W and F take two cells; combining marks none."""
    assert cells("配線") == 4
    assert cells("\uff21") == 2
    assert cells("e\u0301") == 1
    assert cells("abc") == 3


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=300), st.integers(1, 320), st.integers(20, 200))
def test_a_marked_line_is_never_wider_than_asked_and_its_marker_points_at_its_letter(line, column, width):
    quoted, marker = marked(line, column, width)
    assert cells(quoted) <= width
    assert cells(marker) <= width
    assert marker.strip(" ") == "^"
    if column <= len(line) and cells(shown(line)[column - 1]):
        begin, at = 0, len(marker) - 1
        for letter in quoted:
            if begin == at and cells(letter):
                break
            begin += cells(letter)
        assert begin == at
        assert letter == shown(line)[column - 1]


@given(st.text("ab c配", max_size=120), st.integers(5, 60), st.integers(0, 4))
def test_wrapped_lines_fit_and_lose_no_word(text, width, indent):
    lines = wrapped(text, width, indent)
    assert " ".join(lines).split() == text.split()
    for line in lines:
        assert cells(line) <= width or len(line.split()) == 1
