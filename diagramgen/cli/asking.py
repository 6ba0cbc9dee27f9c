"""The interview of ``start --ask`` in the terminal: asks, asks again with the reason, and writes at the very end."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagramgen.cli.saying import counts, fail, say_problems, write_files

if TYPE_CHECKING:
    from diagramgen.build.answers import Answers
    from diagramgen.build.interview import Interview, Question

WELCOME = """\
Press Enter to take what stands in brackets. Lengths are mm; 1.5 in and 3/8 in are taken too.
Ctrl-C ends without writing anything."""


def ask(out: Path | None) -> None:
    """Hold the interview and write the build file; ends with the problems of the new build and what comes next."""
    from diagramgen.build.answered import build_text
    from diagramgen.build.interview import interview

    if out is not None and out.exists():
        # Said before the first question: twenty answers are not lost to a name.
        fail(f"error: {out} is there already and is not written over\n  -> Choose another name with --out.")
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
    from diagramgen.build.answers import Reason

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


def _write(path: Path, text: str) -> None:
    from diagramgen.pipeline import examine

    if path.exists():
        fail(f"error: {path} is there already and is not written over\n  -> Choose another name.")
    write_files(path.parent, {path.name: text.encode()})
    proof = examine(path)
    click.echo("", err=True)
    say_problems(proof.problems, quiet=True)
    click.echo(str(path))
    click.echo(f"{counts(proof.problems)}. Next: diagramgen check {path}, then diagramgen print {path}", err=True)
