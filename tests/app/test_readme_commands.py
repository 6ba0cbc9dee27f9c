"""Every command and option that README.md names exists, and every page it links to is there."""

from __future__ import annotations

import re
from pathlib import Path

import click

from diagramgen.app.main import COMMANDS, group

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def calls() -> list[list[str]]:
    """Each command line in the README, in words."""
    inline = re.findall(r"`([a-z]+ [^`|]*)`", README)
    shell = re.findall(r"(?m)^\./run ([a-z].*?)(?:\s+#.*)?$", README)
    return [words for line in (*inline, *shell) if (words := line.split())[0] in COMMANDS]


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


def test_every_page_under_docs_is_linked_from_the_readme() -> None:
    pages = {f"docs/{p.name}" for p in (ROOT / "docs").glob("*.md")}
    assert {x for x in pages if x not in README} == set()
