"""Every command is declared once and appears wherever it must."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from diagramgen.app.main import group
from diagramgen.console.command import commands

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", commands())
def test_a_command_is_the_one_it_declares_and_has_a_help(name: str) -> None:
    assert commands()[name].load().name == name
    done = CliRunner().invoke(group, [name, "--help"], prog_name="diagramgen")
    assert done.exit_code == 0
    assert done.output.startswith(f"Usage: diagramgen {name}")


def test_the_help_lists_every_command_in_its_place() -> None:
    listed = re.findall(r"(?m)^  ([a-z]+)  +\S", CliRunner().invoke(group, ["--help"]).output)
    assert [name for name in listed if name in commands()] == list(commands())


@pytest.mark.parametrize("name", commands())
def test_a_command_is_told_of_in_the_readme_or_a_page(name: str) -> None:
    pages = [README, *(p.read_text(encoding="utf-8") for p in (ROOT / "docs").glob("*.md"))]
    assert any(re.search(rf"(?:diagramgen |\./run |`){name}\b", page) for page in pages)
