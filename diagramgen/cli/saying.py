"""How problems and results are said: text for people, JSON for scripts."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

import click

from diagramgen.problems import Problem, Severity
from diagramgen.writers.files import CannotWrite, write_all
from diagramgen.writers.packet import MANIFEST, write_packet

PAPER_NAMES = ("a4", "a3", "letter", "legal", "tabloid")
FINE, HAS_ERRORS, USAGE, CANNOT_WRITE = 0, 1, 2, 3
_COLOURS = {Severity.ERROR: "red", Severity.WARNING: "yellow", Severity.NOTE: "cyan"}


def problem_dict(problem: Problem) -> dict[str, Any]:
    """A problem as scripts get it."""
    return {
        "code": problem.code,
        "severity": problem.severity.word,
        "file": problem.place.file,
        "line": problem.place.line,
        "column": problem.place.column,
        "message": problem.message,
        "remedy": problem.remedy,
    }


def say_problems(problems: Sequence[Problem], quiet: bool = False) -> None:
    """Print problems on the error stream; ``quiet`` leaves out notes and warnings."""
    for problem in problems:
        if quiet and problem.severity is not Severity.ERROR:
            continue
        text = problem.text()
        word = f"{problem.severity.word} {problem.code}"
        head, _, tail = text.partition(word)
        click.echo(head + click.style(word, fg=_COLOURS[problem.severity], bold=True) + tail, err=True)


def say_json(value: Any) -> None:
    """Print JSON on the standard output."""
    click.echo(json.dumps(value, indent=2, ensure_ascii=False))


def counts(problems: Sequence[Problem]) -> str:
    """``2 errors, 1 warning`` in words; 'no problems' where there are none."""
    parts = []
    for severity in (Severity.ERROR, Severity.WARNING, Severity.NOTE):
        n = sum(1 for p in problems if p.severity is severity)
        if n:
            parts.append(f"{n} {severity.word}{'s' if n > 1 else ''}")
    return ", ".join(parts) or "no problems"


def write_files(folder: Path, files: dict[str, bytes]) -> list[Path]:
    """Write files whole or end with status 3 and the reason."""
    try:
        return write_all(folder, files)
    except CannotWrite as fault:
        fail(f"error: cannot write {fault.path}: {fault.reason}\n  -> Choose another folder with --out, or free it.")


def write_sheets(folder: Path, files: dict[str, bytes], check: str, listed_in: str = MANIFEST) -> list[Path]:
    """Write a packet of sheets whole, in place of an earlier one, or end with status 3 and the reason."""
    try:
        return write_packet(folder, files, check, listed_in)
    except CannotWrite as fault:
        fail(f"error: cannot write {fault.path}: {fault.reason}\n  -> Choose another folder with --out, or free it.")


def fail(message: str, status: int = CANNOT_WRITE) -> NoReturn:
    """Say a sentence and end."""
    click.echo(message, err=True)
    sys.exit(status)
