"""``explain``: what a problem code means, with an example where a test has one."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from diagramgen.console.completion import complete_code
from diagramgen.console.report import say_json, terminal_width

if TYPE_CHECKING:
    from diagramgen.kernel.code_texts import Explained, Range

_PIPED, _WIDEST = 100, 110


@click.command()
@click.argument("codes", metavar="[CODE]...", nargs=-1, shell_complete=complete_code)
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
def explain(codes: tuple[str, ...], as_json: bool) -> None:
    """Say what the problem CODE means, why it matters and what to do; with an example where there is one.

    Without CODE every code is listed by its range; R2 or R2xx lists one range.

    \b
    Examples:
      diagramgen explain C104
      diagramgen explain P310 P320
      diagramgen explain C2xx
      diagramgen explain
    """
    from diagramgen.kernel.code_texts import explained, ranges, ranges_named

    found: list[Explained | Range] = [] if codes else [*ranges()]
    for code in codes:
        one, many = explained(code), ranges_named(code)
        if one is None and not many:
            raise click.UsageError(f"there is no problem code '{code}'. {_near(code)}")
        found += [one] if one else many
    if as_json:
        say_json([_plain(one) for one in found])
        return
    wide = min(terminal_width(sys.stdout) or _PIPED, _WIDEST)
    click.echo("\n\n".join(_words(one, wide) for one in found))


def _near(code: str) -> str:
    """The codes nearest to one that is none; the ranges where none is near."""
    from difflib import get_close_matches

    from diagramgen.kernel.code_texts import all_codes, ranges

    typed = code.strip().upper()
    # A figure typed twice or two exchanged is the usual slip: the same figures in any order come first.
    turned = [c for c in all_codes() if c != typed and sorted(c) == sorted(typed)]
    found = list(dict.fromkeys([*turned, *get_close_matches(typed, all_codes(), n=3, cutoff=0.7)]))[:4]
    if len(found) == 1:
        return f"Did you mean {found[0]}?"
    if found:
        return f"Nearest: {', '.join(found)}."
    return f"Ranges: {', '.join(r.name for r in ranges())}."


def _plain(one: Explained | Range) -> dict[str, Any]:
    from diagramgen.kernel.code_texts import Explained

    if isinstance(one, Explained):
        return {"code": one.code, "paragraphs": list(one.paragraphs), "example": one.example}
    return {"range": one.name, "about": one.about,
            "codes": [{"code": e.code, "says": e.first_sentence} for e in one.codes]}


def _words(one: Explained | Range, wide: int) -> str:
    from diagramgen.kernel.code_texts import Explained
    from diagramgen.kernel.terminal_cells import wrapped

    if not isinstance(one, Explained):
        head = click.style(f"{one.name}: {one.about}", bold=True)
        return "\n".join([head, *(line for e in one.codes
                                  for line in wrapped(f"  {e.code}  {_letters(e.first_sentence)}", wide, 8))])
    lines = [click.style(one.code, bold=True)]
    for paragraph in one.paragraphs:
        lines += wrapped(_letters(paragraph), wide)
    if one.example:
        lines += ["", "As it is said, for example:", *(f"  {line}" for line in one.example.split("\n"))]
    return "\n".join(lines)


def _letters(text: str) -> str:
    """The page's text without its marks of emphasis."""
    return text.replace("`", "'").replace("**", "").replace("*", "")
