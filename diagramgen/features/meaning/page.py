"""The page of all problem codes, ``docs/problems.md``, written from their declarations."""

from __future__ import annotations

import textwrap

from diagramgen.kernel.codes import Code, Registry
from diagramgen.kernel.diagnostics import ADVICE

WIDTH = 120
HEAD = """\
<!-- Written by python tools/make_problems.py from the declarations of the codes; do not edit by hand. -->

# Problems by their code

Every problem says what is wrong, where (file, line, column), why, and what to do. An *error* keeps a sheet from
being written; a *warning* is printed on it; a *note* is only said. A code never changes its meaning.
The ids of before, a letter and three figures, are still answered by `diagramgen meaning`.
"""


def problems_page(registry: Registry) -> str:
    """The page as Markdown: a heading for each range, a paragraph or more for each code."""
    blocks = [HEAD.rstrip()]
    for one in registry.ranges:
        blocks.append(f"## {one.name}: {one.about}")
        blocks += [_filled(paragraph) for paragraph in one.intro.split("\n\n") if paragraph]
        blocks += [_filled(paragraph) for code in registry.of(one) for paragraph in _entry(code)]
    return "\n\n".join(blocks) + "\n"


def _entry(code: Code) -> list[str]:
    """The paragraphs of a code: its id and severity before the first, its advice behind the last."""
    told = paragraphs(code)
    told[0] = f"**{code.id}** ({severities(code)}) {told[0]}"
    if code.advice:
        told[-1] += f" *{ADVICE}* {code.advice}"
    return told


def severities(code: Code) -> str:
    """The severity it is said with, and others with the case they are for."""
    return "; ".join([code.severity.word, *(f"{other.word} {case}" for other, case in code.also)])


def paragraphs(code: Code) -> list[str]:
    """Title and text of a code as paragraphs; lines of a list begin with ``- ``."""
    return " ".join(part for part in (f"{code.title}.", code.text) if part).split("\n\n")


def _filled(paragraph: str) -> str:
    """A paragraph, or each line of a list, filled to the width of the page."""
    return "\n".join(textwrap.fill(line, WIDTH, subsequent_indent="  " if line.startswith("- ") else "",
                                   break_long_words=False, break_on_hyphens=False) for line in paragraph.split("\n"))
