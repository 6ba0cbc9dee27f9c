"""The interview of ``start --ask`` in the terminal: asks, asks again with the reason, and writes at the very end."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagramgen.console.report import counts, fail, report_problems, write_files
from diagramgen.kernel.codes import Severity

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis
    from diagramgen.features.interview.answers import Answers
    from diagramgen.features.interview.questions import Interview, Question

WELCOME = """\
Press Enter to take what stands in brackets. Lengths are mm; 1.5 in and 3/8 in are taken too.
Ctrl-C ends without writing anything."""


def ask(out: Path | None) -> None:
    """Hold the interview and write the build file; ends with the problems of the new build and what comes next."""
    from diagramgen.features.interview.answered import build_text
    from diagramgen.features.interview.questions import interview

    if out is not None and out.exists():
        # Said before the first question: twenty answers are not lost to a name.
        fail(f"error: {out} is there already and is not written over", remedy="Choose another name with --out.")
    click.echo(WELCOME, err=True)
    try:
        given = _held(interview())
        path = out or _file_name(given.title)
    except click.Abort:
        click.echo("\nNothing was written.", err=True)
        raise
    _write(path, build_text(given))


def _held(questions: Interview) -> Answers:
    question = next(questions)
    while True:
        try:
            question = questions.send(_answer(question))
        except StopIteration as done:
            given: Answers = done.value
            return given


def _answer(question: Question) -> Any:
    from diagramgen.features.interview.answers import Reason

    click.echo("", err=True)
    for answer, meaning in question.choices:
        if meaning:
            click.echo(f"    {answer:<30}{meaning}", err=True)
    few = [answer for answer, _ in question.choices]
    listed = f" ({' / '.join(few)})" if few and not any(m for _, m in question.choices) else ""
    while True:
        text = click.prompt(f"{question.words}{listed}", default=question.default, err=True)
        try:
            return question.read(text)
        except Reason as fault:
            click.echo(f"  {fault}", err=True)


def _file_name(title: str) -> Path:
    """The name of the file, asked until it is one that is free."""
    word = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40] or "my"
    click.echo("", err=True)
    while True:
        path = Path(click.prompt("File to write", default=f"{word}.yaml", err=True).strip())
        if path.suffix not in (".yaml", ".yml"):
            path = path.with_name(f"{path.name}.yaml")
        if not path.exists():
            return path
        click.echo(f"  {path} is there already and is not written over. Choose another name.", err=True)


def outcome(analysis: Analysis) -> list[str]:
    """Whether everything finds a place in the cavities, said at once; errors were said already."""
    from diagramgen.layout.placement.guessed_places import given_up, guessed

    layout = analysis.layout
    if layout is None or not any(c.outline for c in layout.build.cavities.values()):
        return []
    misfits = [p for p in analysis.problems
               if p.severity is not Severity.NOTE and (p.code.startswith("FIT-3") or p.code == "FIT-202")]
    said = [f"{p.message[:1].upper()}{p.message[1:]}." for p in misfits if p.severity is Severity.WARNING]
    if any(given_up(layout, name) for name in layout.regions):
        return [*said, "The sheets are stamped NOT TO SCALE: the parts stand in rows on them."]
    clear = ", clear of one another and of the wall" * (not misfits)
    found = guessed(layout)
    for cavity in dict.fromkeys(p.region for p in found):
        names = [p.part.name for p in found if p.region == cavity]
        said.append(f"In '{cavity}' a place was found for {', '.join(names)}{clear}.")
    if found:
        return [*said, "The places are the program's own proposal: every sheet is stamped PLACES NOT MEASURED until "
                "each part has its 'at'."]
    return said or ["At the places measured the parts stand clear of one another and of the wall."] * (not misfits)


def _write(path: Path, text: str) -> None:
    from diagramgen.analysis import examine

    if path.exists():
        fail(f"error: {path} is there already and is not written over", remedy="Choose another name.")
    write_files(path.parent, {path.name: text.encode()})
    analysis = examine(path)
    click.echo("", err=True)
    report_problems(analysis.problems, quiet=True)
    click.echo(str(path))
    for line in outcome(analysis):
        click.echo(line, err=True)
    click.echo(f"{counts(analysis.problems)}. Next: diagramgen check {path}, then diagramgen print {path}", err=True)
