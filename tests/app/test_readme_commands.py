"""Every command and option that README.md names exists, its first ten minutes run as they stand, what it quotes is
what the program says, and every page it links to is there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from diagramgen.app.main import group
from diagramgen.console.command import commands

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def calls() -> list[list[str]]:
    """Each command line in the README, in words."""
    inline = re.findall(r"`([a-z]+ [^`|]*)`", README)
    shell = re.findall(r"(?m)^\./run ([a-z].*?)(?:\s+#.*)?$", README)
    return [words for line in (*inline, *shell) if (words := line.split())[0] in commands()]


def test_every_command_line_names_commands_and_options_that_exist() -> None:
    found = calls()
    assert len(found) > 15
    for words in found:
        command = group.get_command(click.Context(group), words[0])
        assert command is not None
        options = {o for p in command.params if isinstance(p, click.Option) for o in p.opts}
        for word in words[1:]:
            if word.startswith("--"):
                assert word in options, " ".join(words)


def test_every_sheet_named_can_be_asked_for() -> None:
    from diagramgen.sheets.registry import kinds

    lines = [line for line in README.splitlines() if "trace " not in line]  # there --sheet is the paper in the picture
    named = {name for line in lines for name in re.findall(r"--sheet ([a-z]+)", line)}
    assert named
    assert named <= set(kinds())


def test_every_page_and_picture_linked_is_there() -> None:
    linked = re.findall(r"\]\(([^)#:]+)\)", README)
    assert len(linked) > 10
    assert [x for x in linked if not (ROOT / x).exists()] == []


def test_every_page_under_docs_is_linked_from_a_page_at_the_top() -> None:
    """Those for a technician from the README, those for a developer from the pages for developers."""
    top = [ROOT / name for name in ("README.md", "CONTRIBUTING.md", "DEVELOPERS.md")]
    read = "".join(page.read_text(encoding="utf-8") for page in top)
    pages = {f"docs/{p.name}" for p in (ROOT / "docs").glob("*.md")}
    assert {x for x in pages if x not in read} == set()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def blocks(language: str) -> list[str]:
    """What stands between the fences of a language."""
    return re.findall(rf"(?s)```{language}\n(.*?)```", README)


def test_the_first_ten_minutes_run_in_their_order(folder: Path) -> None:
    lines = [shlex.split(line, comments=True) for line in blocks("sh")[0].splitlines()]
    assert len(lines) >= 5
    for program, *words in lines:
        assert program == "./run"
        done = CliRunner().invoke(group, words, prog_name="diagramgen")
        assert done.exit_code == 0, (words, done.output)
    assert (folder / "sheets" / "diagram.pdf").read_bytes().startswith(b"%PDF")


def test_the_whole_file_shown_is_a_build_without_errors_and_the_answer_quoted_is_what_is_said(folder: Path) -> None:
    build = blocks("yaml")[0]
    Path("whole.yaml").write_text(build, encoding="utf-8")
    assert CliRunner().invoke(group, ["check", "--quiet", "whole.yaml"]).exit_code == 0
    Path("my.yaml").write_text(build.replace("pickup.finish", "pickup.finnish"), encoding="utf-8")
    assert blocks("text")[0] in CliRunner().invoke(group, ["check", "my.yaml"]).output
