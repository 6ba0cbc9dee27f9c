"""Problems on a terminal: width, the line quoted, colours; plain in a pipe. The terminal is a real pseudo-terminal."""

from __future__ import annotations

import os
import re
import struct
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from running import BROKEN, SAMPLES, become, quick, run

from diagramgen.console.command import commands
from diagramgen.console.report import MEANING
from diagramgen.kernel.terminal_cells import cells, cut_around, shown, wrapped

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


def quoted(said):
    """The lines of a file as quoted: set in by four blanks under the problem that speaks of them."""
    lines = ESCAPE.sub("", said).split("\n")
    return [line[4:] for line in lines if line.startswith("    ")]


def test_every_fault_of_a_file_is_said_in_one_run(tmp_path):
    build = tmp_path / "many.yaml"
    build.write_text(MANY)
    done = quick("check", str(build))
    said = {int(n) for n in re.findall(r"many\.yaml:(\d+):\d+: error", done.stderr)}
    assert {3, 4, 5, 7, 8, 9, 12, 13, 14, 15, 16} <= said


@pytest.mark.parametrize("columns", [30, 40, 60, 80, 132, 250])
def test_no_line_is_wider_than_the_terminal_and_the_place_is_within_what_is_quoted(columns, tmp_path):
    build = tmp_path / "b.yaml"
    build.write_text(MANY)
    said = _in(tmp_path, columns)
    plain = ESCAPE.sub("", said)
    for line in plain.split("\n"):
        # A word alone (a path, a list of names) may be longer than the narrowest terminals.
        assert cells(line) < columns or len(line.split()) <= 1 or columns == 30, line
    for word in ("leftt", "pickup.finsh", "purpel", "outptu.tip"):
        # On the narrowest the line is cut on both sides of the place, the word's end with it.
        assert any(word[:5] in line for line in quoted(said)), (word, said)


def _in(folder, columns, **surroundings):
    before = os.getcwd()
    os.chdir(folder)
    try:
        return on_terminal("check", "b.yaml", columns=columns, **surroundings)
    finally:
        os.chdir(before)


def test_a_word_behind_tabs_and_wide_letters_is_within_what_is_quoted(tmp_path):
    (tmp_path / "b.yaml").write_text(
        "format: 1\ntitle: x\nparts: {output: jack-mono-open}\nleads:\n"
        "  - {note: 配線図の注意, from: output.tipp, to: output.sleeve}\n"
        "  - {note: a,\tfrom: output.tpi,\tto: output.sleeve}\n"
        "  - {note: e\u0301te\u0301, from: output.tipe, to: output.sleeve}\n", encoding="utf-8")
    for columns in (44, 80):
        said = _in(tmp_path, columns)
        for word in ("output.tipp", "output.tpi", "output.tipe"):
            assert any(word in line and cells(line) <= columns - 5 for line in quoted(said)), (columns, said)


def test_a_very_long_line_is_cut_around_the_place(tmp_path):
    filling = ", ".join(f"p{i}: pot-24" for i in range(60))
    parts = f"{filling}, wrong: pott-24, {filling.replace('p', 'q')}"
    (tmp_path / "b.yaml").write_text(f"format: 1\ntitle: x\nparts: {{{parts}}}\n")
    said = _in(tmp_path, 70)
    lines = [line for line in quoted(said) if "pott-24," in line]
    assert lines
    assert all(line.startswith("…") and line.endswith("…") and cells(line) <= 65 for line in lines)


def test_colours_stand_on_a_terminal_alone_and_not_where_they_are_not_wanted(tmp_path):
    (tmp_path / "b.yaml").write_text(BROKEN)
    said = _in(tmp_path, 80)
    assert "\x1b[31m\x1b[1merror " in said
    assert "  \x1b[1mWhat to do:\x1b[0m " in said
    assert "\x1b[" not in _in(tmp_path, 80, NO_COLOR="1")
    piped = run("check", "b.yaml", cwd=tmp_path)
    assert "\x1b" not in piped.stdout + piped.stderr


def test_the_way_to_the_explanation_is_said_once_on_a_terminal_and_never_in_a_pipe(tmp_path):
    (tmp_path / "b.yaml").write_text(MANY)
    said = _in(tmp_path, 80)
    assert said.count(f"diagramgen {MEANING} ") == 1
    assert f"What INP-103 means and why it matters: diagramgen {MEANING} INP-103" in said
    assert MEANING in commands(), "the command that is named is there"
    done = run("check", "b.yaml", cwd=tmp_path)
    assert f"diagramgen {MEANING}" not in done.stdout + done.stderr
    fine = on_terminal("check", str(SAMPLES / "one-volume.yaml"))
    assert f"diagramgen {MEANING}" not in fine


def test_nothing_in_a_file_steers_the_terminal(tmp_path):
    """An escape inside quotes is read as its letter by YAML; said back, it must not reach the terminal."""
    (tmp_path / "b.yaml").write_text('format: 1\ntitle: x\nneck: "\\e[2Jleft"\npaper: "\\u202ea4"\n')
    said = _in(tmp_path, 80, NO_COLOR="1")
    assert "\x1b" not in said
    assert "\u202e" not in said
    assert "INP-103" in said


def test_widths_follow_the_unicode_standard():
    """Unicode standard, annex 11: W and F take two cells; combining marks none."""
    assert cells("配線") == 4
    assert cells("\uff21") == 2
    assert cells("e\u0301") == 1
    assert cells("abc") == 3


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=300), st.integers(1, 320), st.integers(20, 200))
def test_a_quoted_line_is_never_wider_than_asked_and_holds_the_letter_of_its_place(line, column, width):
    quoted = cut_around(line, column, width)
    assert cells(quoted) <= width
    whole = shown(line)
    if quoted == whole:
        return
    kept = quoted.removeprefix("…") if quoted.startswith("…") and not whole.startswith(quoted[:-1]) else quoted
    kept = kept.removesuffix("…") if not whole.endswith(kept) else kept
    assert kept in whole
    begins = [m.start() for m in re.finditer(f"(?={re.escape(kept)})", whole)]
    at = min(column - 1, len(whole) - 1)
    assert any(begin <= at < begin + len(kept) for begin in begins)


@given(st.text("ab c配", max_size=120), st.integers(5, 60), st.integers(0, 4))
def test_wrapped_lines_fit_and_lose_no_word(text, width, indent):
    lines = wrapped(text, width, indent)
    assert " ".join(lines).split() == text.split()
    for line in lines:
        assert cells(line) <= width or len(line.split()) == 1
