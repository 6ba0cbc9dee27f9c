"""``start --ask`` in a terminal: the file it writes prints; bad answers are asked again; Ctrl-C leaves nothing."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import time

import pytest
from click.testing import CliRunner
from running import ROOT, quick

from diagramgen.app.main import group


def held(*lines: str, out: str = "my.yaml"):
    """The interview with lines typed; Enter for all that follow."""
    typed = "\n".join([*lines, *[""] * 60])
    return CliRunner().invoke(group, ["start", "--ask", "--out", out], input=typed, prog_name="diagramgen")


def test_enter_alone_makes_a_build_that_prints(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = held()
    assert done.exit_code == 0, done.output
    assert done.stdout == "my.yaml\n"
    assert "diagramgen print my.yaml" in done.stderr
    printed = quick("print", "my.yaml", "--sheet", "diagram", "--sheet", "leads")
    assert printed.exit_code == 0, printed.output
    assert {"diagram.pdf", "diagram.svg", "leads.csv"} <= {p.name for p in (tmp_path / "my").iterdir()}


def test_a_measured_cavity_and_three_pickups_print_too(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = held("Three on a lever", "LL-2001", "Double cutaway", "left", "6 1/2 x 3 in", "12", "1.8 in", "5", "front",
                "left", "3")
    assert done.exit_code == 0, done.output
    text = (tmp_path / "my.yaml").read_text()
    assert "title: Three on a lever\njob: LL-2001\n" in text
    assert "rounded: [165.1, 76.2], corner: 12}, depth: 45.72, wood above: 5}" in text
    assert quick("print", "my.yaml", "--sheet", "diagram").exit_code == 0


def test_a_bad_answer_is_asked_again_with_the_reason(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = held("T", "", "", "lefty", "left", "92,5 x 62", "92.5 x 62")
    assert done.exit_code == 0
    assert "'lefty' is not one of them. Did you mean 'left'?" in done.stderr
    assert "decimal comma" in done.stderr
    assert "hand: left" in (tmp_path / "my.yaml").read_text()


def test_a_file_that_is_there_is_said_before_the_first_question(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my.yaml").write_text("mine")
    done = held()
    assert done.exit_code == 3
    assert "is not written over" in done.stderr
    assert "Title" not in done.stderr
    assert (tmp_path / "my.yaml").read_text() == "mine"


def test_a_name_that_is_taken_is_asked_again(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "new-build.yaml").write_text("mine")
    # More lines than there are questions: the rest take the name offered, which is not free, until another comes.
    done = CliRunner().invoke(group, ["start", "--ask"], input="\n" * 40 + "other\n", prog_name="diagramgen")
    assert done.stdout == "other.yaml\n"
    assert "new-build.yaml is there already and is not written over" in done.stderr
    assert (tmp_path / "new-build.yaml").read_text() == "mine"


def test_the_end_of_the_input_leaves_nothing_behind(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(group, ["start", "--ask", "--out", "my.yaml"], input="T\n", prog_name="diagramgen")
    assert done.exit_code == 1
    assert "Nothing was written." in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_ctrl_c_leaves_nothing_behind(tmp_path):
    pty = pytest.importorskip("pty", reason="missing: a pseudo-terminal")
    inner, outer = pty.openpty()
    running = subprocess.Popen([sys.executable, "-m", "diagramgen", "start", "--ask", "--out", "my.yaml"],
                               stdin=outer, stdout=outer, stderr=outer, cwd=tmp_path,
                               env={**os.environ, "PYTHONPATH": str(ROOT)})
    os.close(outer)
    said = b""
    until = time.monotonic() + 60

    def read_to(word: bytes | None) -> None:
        """What it says up to the word, or to its end after Ctrl-C: it cannot end before that is read."""
        nonlocal said
        while word is None or word not in said:
            assert time.monotonic() < until, said
            if not select.select([inner], [], [], 5.0)[0]:
                if word is None:
                    # Pressed just before the prompt listens it is heard only with the next key: a person presses again.
                    running.send_signal(signal.SIGINT)
                continue
            try:
                piece = os.read(inner, 4096)
            except OSError:
                piece = b""
            if not piece:
                return
            said += piece

    try:
        read_to(b"Title")
        os.write(inner, b"A title\n")
        read_to(b"Job number")
        running.send_signal(signal.SIGINT)
        read_to(None)
        assert running.wait(30) == 130
    finally:
        running.kill()
    os.close(inner)
    assert b"Nothing was written." in said
    assert b"Traceback" not in said
    assert list(tmp_path.iterdir()) == []


def test_names_and_asking_do_not_go_together():
    done = quick("start", "one-volume", "--ask")
    assert done.exit_code == 2
    assert "--ask takes no NAME" in done.stderr


DUALS = ("dual-coil", "dual-coil", "each", "toggle-short", "each")


def test_whether_everything_finds_a_place_is_said_at_once(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = held("T", "", "", "", "110 x 70", "12", "38", "5", "rear", "left", "2", *DUALS)
    assert ("In 'controls' a place was found for neck-volume, bridge-volume, neck-tone, bridge-tone, selector, "
            "clear of one another and of the wall.\n") in done.stderr
    assert "every sheet is stamped PLACES NOT MEASURED" in done.stderr
    assert "at 46 26, turned 90" in (tmp_path / "my.yaml").read_text()
    printed = quick("print", "my.yaml", "--sheet", "diagram", "--sheet", "template")
    assert printed.exit_code == 0, printed.output
    assert "The template drills no hole for them." in printed.stderr
    assert b"full size" not in (tmp_path / "my" / "diagram.svg").read_bytes().lower()
    alone = quick("print", "my.yaml", "--sheet", "template", "--out", "alone")
    assert alone.exit_code == 2
    assert "no hole was measured, so there is no drilling template" in alone.stderr


def test_what_is_missing_is_said_at_once(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = held("T", "", "", "", "100 x 45", "12", "38", "5", "rear", "left", "2", *DUALS)
    assert "Not all parts find a place in 'controls' of 100 x 45 mm: by the places tried it is" in done.stderr
    assert "mm too narrow (" in done.stderr
    assert "The sheets are stamped NOT TO SCALE" in done.stderr
    alone = quick("print", "my.yaml", "--sheet", "jig")
    assert alone.exit_code == 2
    assert "not all parts find a place in 'controls', so there is no sheet at full size" in alone.stderr
