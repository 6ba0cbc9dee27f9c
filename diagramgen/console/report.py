"""How problems and results are said: text for people, JSON for scripts."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterable, Iterator, Sequence, Sized
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import IO, Any, NoReturn

import click

from diagramgen.kernel.brief import counted
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import ADVICE, Problem, with_advice
from diagramgen.kernel.errors import CannotWrite
from diagramgen.kernel.terminal_cells import wrapped
from diagramgen.kernel.tokens import TERMINAL
from diagramgen.model.coil_expression import NOTATION_KEY, holds_signs
from diagramgen.writers.atomic_files import write_all
from diagramgen.writers.output_folder import LISTS, write_alone, write_packet
from diagramgen.writers.overwriting import ONLY_OURS, Permission

FINE, HAS_ERRORS, USAGE, CANNOT_WRITE = 0, 1, 2, 3
MANY = 3
"""Leads of which the same is said, from which on it is said once."""
_LEAD = re.compile(r"lead (?P<tag>\S+(?: leg \d+)?)(?: \([^()]* -> [^()]*\))?")
_TAUGHT = "diagramgen.taught"
MEANING = "meaning"
"""The command that says what a code means."""
_NARROWEST, _READABLE = 24, 120


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


def report_problems(problems: Sequence[Problem], quiet: bool = False) -> None:
    """Print problems on the error stream, errors first; ``quiet`` leaves out notes and warnings.

    The same sentence about many leads is said once, with the leads.

    Where one of them holds coils and their signs, a line explains the signs.
    On a terminal lines are cut and wrapped to its width, and the way to the explanation is said once.
    """
    said = in_order(p for p in problems if not quiet or p.severity is Severity.ERROR)
    wide = terminal_width(sys.stderr)
    for problem in said:
        text = problem.text(max(wide - 4, 20), min(wide, _READABLE)) if wide else problem.text()
        click.echo(_coloured(text, problem), err=True)
    if any(holds_signs(p.message) for p in said):
        click.echo(f"Coils: {NOTATION_KEY}.", err=True)
    if said and wide:
        _teach(said, wide)


def in_order(problems: Iterable[Problem]) -> list[Problem]:
    """Errors, then warnings, then notes, each by place; what is said alike of many leads as one problem."""
    said = sorted(problems, key=lambda p: (-p.severity, p.place))
    alike: dict[tuple[object, ...], list[Problem]] = {}
    for p in said:
        alike.setdefault(_of_any_lead(p), []).append(p)
    result = []
    for p in said:
        group = alike[_of_any_lead(p)]
        if len(group) < MANY:
            result.append(p)
        elif p is group[0]:
            tags = dict.fromkeys(found["tag"] for one in group if (found := _LEAD.match(one.message)))
            rest = p.message[found.end():] if (found := _LEAD.match(p.message)) else p.message
            result.append(replace(p, message=f"leads {', '.join(tags)}: {rest.lstrip(': ')}", excerpt=""))
    return result


def _of_any_lead(problem: Problem) -> tuple[object, ...]:
    """What a problem says, whichever lead it speaks of; of its own where it begins with no lead."""
    found = _LEAD.match(problem.message)
    if found is None:
        return (problem,)
    return problem.code, problem.severity, problem.place.file, problem.message[found.end():], problem.remedy


def _coloured(text: str, problem: Problem) -> str:
    """The word of severity in its colour, the head of the advice bold; where no terminal is, colours go again."""
    colour = TERMINAL[problem.severity.word]
    word = f"{problem.severity.word} {problem.code}"
    # Where a narrow terminal broke the line between the two, both halves are left plain.
    head, found, tail = text.partition(word)
    lines = [head + click.style(found, fg=colour, bold=True) + tail] if found else [text]
    lines = "".join(lines).split("\n")
    for i, line in enumerate(lines):
        if line.startswith(f"  {ADVICE}"):
            lines[i] = f"  {click.style(ADVICE, bold=True)}{line[len(ADVICE) + 2:]}"
    return "\n".join(lines)


def _teach(said: Sequence[Problem], wide: int) -> None:
    context = click.get_current_context(silent=True)
    if context is None or context.meta.get(_TAUGHT):
        return
    context.meta[_TAUGHT] = True
    first = next((p for p in said if p.severity is Severity.ERROR), said[0])
    way = f"What {first.code} means and why it matters: diagramgen {MEANING} {first.code}"
    click.echo("\n".join(wrapped(way, wide, 2)), err=True)


def terminal_width(stream: IO[str]) -> int:
    """The cells in a line of the terminal a stream goes to; 0 where it goes to none."""
    try:
        if not stream.isatty():
            return 0
        columns = os.environ.get("COLUMNS", "")
        wide = int(columns) if columns.isdigit() else 0
        # One cell is left free: some terminals begin a new line when the last one is filled.
        return max((wide or os.get_terminal_size(stream.fileno()).columns or 80) - 1, _NARROWEST)
    except (OSError, ValueError):
        return 79 if stream.isatty() else 0


def print_json(value: Any) -> None:
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


replace_option = click.option(
    "--replace", is_flag=True, help="Write over files of the same name that are yours, or that you changed. Without it "
    "they are kept, and nothing is written.")
"""For every command that writes sheets or a file by name."""


def write_files(folder: Path, files: dict[str, bytes]) -> list[Path]:
    """Write files that may take the place of what is there whole, or end with status 3 and the reason.

    For new files, and for a user's own file that is edited as told; all else is written by ``write_sheets``.
    """
    with _or_end():
        return write_all(folder, files)


def write_sheets(
    folder: Path, files: dict[str, bytes], check: str, command: str = "print", some: bool = False,
    permission: Permission = ONLY_OURS,
) -> list[Path]:
    """Write a packet of sheets whole, in place of an earlier one of the command, or end with status 3 and why.

    ``some``: beside the sheets of an earlier run with the same check. ``permission``: what else may be replaced.
    """
    before = _names(folder)
    with _or_end():
        made = write_packet(folder, files, check, LISTS[command], some, permission)
    gone = before - _names(folder)
    if gone and some:
        sheets = "sheet was" if len(gone) == 1 else "sheets were"
        click.echo(f"{len(gone)} {sheets} made from other data and taken away: {', '.join(sorted(gone))}", err=True)
    return made


def _names(folder: Path) -> set[str]:
    """The files in a folder; none where it cannot be looked into."""
    try:
        return {path.name for path in folder.iterdir()}
    except OSError:
        return set()


def written(files: Sized) -> str:
    """``3 files written``, ``nothing written``."""
    return f"{counted(len(files), 'file')} written" if files else "nothing written"


def write_one(path: Path, data: bytes, permission: Permission) -> None:
    """Write one file that no list speaks of, or end with status 3 and why."""
    with _or_end():
        write_alone(path, data, permission)


def cannot_write(fault: CannotWrite) -> str:
    """Which file, why, and what to do."""
    return with_advice(f"error: cannot write {fault.path}: {fault.reason}", fault.remedy)


@contextmanager
def _or_end() -> Iterator[None]:
    try:
        yield
    except CannotWrite as fault:
        fail(cannot_write(fault))


def fail(message: str, status: int = CANNOT_WRITE, remedy: str = "") -> NoReturn:
    """Say a sentence, and what to do where there is something, and end with the status."""
    click.echo(with_advice(message, remedy) if remedy else message, err=True)
    sys.exit(status)
