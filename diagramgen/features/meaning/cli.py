"""``meaning``: what a problem code means, with an example where a test has one."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from diagramgen.console.completion import complete_code
from diagramgen.console.report import print_json, terminal_width

if TYPE_CHECKING:
    from diagramgen.kernel.codes import Code, Range, Registry

_PIPED, _WIDEST = 100, 110


@click.command()
@click.argument("codes", metavar="[CODE]...", nargs=-1, shell_complete=complete_code)
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
def meaning(codes: tuple[str, ...], as_json: bool) -> None:
    """Say what the problem CODE means, why it matters and what to do; with an example where there is one.

    Without CODE every code is listed by its range; INP-2 or INP-2xx lists one range.

    \b
    Examples:
      diagramgen meaning CIR-104
      diagramgen meaning FIT-310 FIT-320
      diagramgen meaning CIR-2xx
      diagramgen meaning
    """
    from diagramgen.kernel.codes import registry

    known = registry()
    found: list[Code | Range] = [] if codes else [*known.ranges]
    for word in codes:
        one, many = known.find(word), known.ranges_named(word)
        if one is None and not many:
            raise click.UsageError(f"there is no problem code '{word}'. {_near(word, known)}")
        found += [one] if one else many
    if as_json:
        print_json([_plain(one, known) for one in found])
        return
    wide = min(terminal_width(sys.stdout) or _PIPED, _WIDEST)
    click.echo("\n\n".join(_words(one, known, wide) for one in found))


def _near(word: str, known: Registry) -> str:
    """The codes nearest to one that is none; the ranges where none is near."""
    near = known.nearest(word)
    if len(near) == 1:
        return f"Did you mean {near[0]}?"
    if near:
        return f"Nearest: {', '.join(near)}."
    return f"Ranges: {', '.join(one.name for one in known.ranges)}."


def _plain(one: Code | Range, known: Registry) -> dict[str, Any]:
    from diagramgen.features.meaning.examples import examples
    from diagramgen.features.meaning.page import paragraphs, severities
    from diagramgen.kernel.codes import Range

    if isinstance(one, Range):
        return {"range": one.name, "about": one.about,
                "codes": [{"code": code.id, "severity": code.severity.word, "says": code.title}
                          for code in known.of(one)]}
    return {"code": one.id, "was": one.was, "severity": severities(one), "paragraphs": paragraphs(one),
            "advice": one.advice, "example": examples().get(one.id, "")}


def _words(one: Code | Range, known: Registry, wide: int) -> str:
    from diagramgen.features.meaning.examples import examples
    from diagramgen.features.meaning.page import paragraphs, severities
    from diagramgen.kernel.codes import Range
    from diagramgen.kernel.diagnostics import ADVICE
    from diagramgen.kernel.terminal_cells import wrapped

    if isinstance(one, Range):
        head = click.style(f"{one.name}: {one.about}", bold=True)
        return "\n".join([head, *(line for code in known.of(one)
                                  for line in wrapped(f"  {code.id}  {_letters(code.title)}.", wide, 8))])
    before = f", called {one.was} before" if one.was else ""
    lines = wrapped(f"{one.id}{before}: {severities(one)}", wide)
    lines[0] = lines[0].replace(one.id, click.style(one.id, bold=True), 1)
    for paragraph in [*paragraphs(one), *([f"{ADVICE} {one.advice}"] if one.advice else [])]:
        for line in paragraph.split("\n"):
            lines += wrapped(_letters(line), wide, 2 if line.startswith("- ") else 0)
    if one.id in examples():
        lines += ["", "As it is said, for example:", *(f"  {line}" for line in examples()[one.id].split("\n"))]
    return "\n".join(lines)


def _letters(text: str) -> str:
    """The page's text without its marks of emphasis."""
    return text.replace("`", "'").replace("**", "").replace("*", "")
