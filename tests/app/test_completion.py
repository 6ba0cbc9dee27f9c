"""The tab key: click's own scripts for bash, zsh and fish, and what they are answered."""

from __future__ import annotations

import subprocess
import sys

import pytest
from running import ROOT, run

from diagramgen.console.command import commands

BUILD = """format: 1
title: T
parts:
  neck: dual-coil
  volume: pot-24, 250k log
  output: jack-mono-open
leads:
  - neck.b start -> volume.case
  - volume.wiper -> output.tip, red
"""
HEAVY = ("numpy", "reportlab", "shapely", "fontTools", "svgwrite", "yaml", "PIL")


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "b.yaml").write_text(BUILD)
    (tmp_path / "broken.yaml").write_text("parts: [")
    return tmp_path


def offered(folder, *words, shell="bash"):
    """What is offered for the last of the words."""
    line = " ".join(f"'{w}'" if " " in w else w for w in ("diagramgen", *words))
    done = run(cwd=folder, _DIAGRAMGEN_COMPLETE=f"{shell}_complete", COMP_WORDS=line, COMP_CWORD=str(len(words)))
    assert done.stderr == ""
    if shell == "bash":
        return [answer.partition(",")[2] for answer in done.stdout.splitlines() if answer]
    return done.stdout.splitlines()


def test_commands_are_completed(folder):
    assert offered(folder, "") == list(commands())
    assert offered(folder, "mea") == ["meaning"]


@pytest.mark.parametrize(("words", "found"), [
    (("add", "b.yaml", "le"), ["lead"]),
    (("add", "b.yaml", "lead", "vol"), ["volume.zero", "volume.wiper", "volume.ten", "volume.case"]),
    (("add", "b.yaml", "lead", "volume.ten", "output."), ["output.tip", "output.sleeve"]),
    (("add", "b.yaml", "lead", "volume.ten", "output.tip", "r"), ["red"]),
    (("add", "b.yaml", "lead", "neck.a"), ["neck.a\\ start", "neck.a\\ finish"]),
    (("add", "broken.yaml", "lead", "v"), []),
    (("add", "none.yaml", "lead", "v"), []),
    (("identify", "b.yaml", "n"), ["neck"]),
    (("labels", "b.yaml", "--lead", "W"), ["W01", "W02"]),
    (("meaning", "inp-20"), [f"INP-20{n}" for n in range(1, 10)]),
    (("symbols", "pot-24-p"), ["pot-24-push-pull", "pot-24-push-push"]),
    (("start", "vol"), ["volume"]),
    (("print", "b.yaml", "--sheet", "rec"), ["record"]),
])  # fmt: skip
def test_names_are_completed_from_the_build_on_the_line(folder, words, found):
    assert sorted(offered(folder, *words)) == sorted(found)


def test_zsh_and_fish_get_blanks_as_they_are(folder):
    assert "neck.a start" in offered(folder, "add", "b.yaml", "lead", "neck.a", shell="zsh")


@pytest.mark.parametrize(("shell", "word"), [("bash", "complete -o nosort -F"), ("zsh", "#compdef diagramgen"),
                                             ("fish", "complete --no-files --command diagramgen")])  # fmt: skip
def test_the_script_of_each_shell_is_given(shell, word, folder):
    done = run(cwd=folder, _DIAGRAMGEN_COMPLETE=f"{shell}_source")
    assert done.returncode == 0
    assert word in done.stdout


def test_the_tab_key_in_a_real_bash_puts_the_lug_into_the_line(folder):
    """The script is read by bash itself and its function called as bash would."""
    script = run(cwd=folder, _DIAGRAMGEN_COMPLETE="bash_source").stdout
    (folder / "diagramgen").write_text(f'#!/bin/sh\nexec {sys.executable} -m diagramgen "$@"\n')
    (folder / "diagramgen").chmod(0o755)
    program = script + ('\nCOMP_WORDS=(diagramgen add b.yaml lead volume.w); COMP_CWORD=4\n'
                        '_diagramgen_completion diagramgen; printf "%s\\n" "${COMPREPLY[@]}"\n')
    done = subprocess.run(["bash", "-c", program], cwd=folder, capture_output=True, encoding="utf-8", check=False,
                          env={"PATH": f"{folder}:/usr/bin:/bin", "PYTHONPATH": str(ROOT)})
    assert done.stdout == "volume.wiper\n", done.stderr


def test_plain_names_are_completed_without_heavy_imports(folder):
    program = ("import os, sys; sys.argv = ['diagramgen']\nfrom diagramgen.app.main import main\n"
               "try: main()\nexcept SystemExit: pass\n"
               f"print('HEAVY', [n for n in {HEAVY!r} if n in sys.modules])")
    for line, count in (("diagramgen pr", 1), ("diagramgen print --pap", 2), ("diagramgen meaning INP-2", 2),
                        ("diagramgen symbols pot", 2), ("diagramgen start vol", 2)):
        done = subprocess.run([sys.executable, "-c", program], capture_output=True, encoding="utf-8", check=False,
                              cwd=folder, env={"PYTHONPATH": str(ROOT), "_DIAGRAMGEN_COMPLETE": "bash_complete",
                                               "COMP_WORDS": line, "COMP_CWORD": str(count), "PATH": "/usr/bin:/bin"})
        assert "plain," in done.stdout, (line, done.stderr)
        assert done.stdout.endswith("HEAVY []\n"), line
