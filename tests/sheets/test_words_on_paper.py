"""No sheet says what only a file, a terminal or the program itself understands.

Every text and every alternative text of every kind of sheet is read, on every sample, and all words of the player's
page.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

import pytest
from sampled import proof_of

from diagramgen.drawing.scene import Group, Mark, Sheet, Text, Viewport
from diagramgen.features.playerpage.page import player_page
from diagramgen.model.build import Build
from diagramgen.sheets.context import context_of
from diagramgen.sheets.paper_words import on_paper
from diagramgen.sheets.printing import job_of, sheets_of
from diagramgen.sheets.registry import sheet_names
from diagramgen.sheets.sheet_kind import Request

SAMPLES = ("baritone", "bass-active", "holes-in-top", "left-handed", "no-cavity", "one-volume", "three-singles-lever",
           "two-pickups-toggle", "two-pickups-toggle-found")
FORBIDDEN = {
    r"\|\|": "the notation of networks is for files: 'in parallel'",
    r"\b[A-Z]{3}-\d{3}\b": "codes of problems are for the terminal, where 'meaning' knows them",
    r"--[a-z]": "an option of a command",
    r"\bdiagramgen [a-z]": "a command",
    r"(?i)\blines? \d": "a line of the file; who holds the paper has no file",
    r"(?i)\bled anew\b": "say what was done: moved, re-routed",
    r"(?i)\bmade before, add\b": "say what to do: hold what is in the joint",
    r"(?i)\bjoined to none\b": "joined to no other",
    r"(?i)\breckoned\b": "worked out",
    r"(?i)\bnetworks?\b": "a connection of coils, or its words",
    r"(?i)\bin every state\b|\bstates?, \d|\d states?\b|\bonly state\b": "a position",
    r" -> ": "to",
    r"(?i)\bit speaks of\b": "yes, or no",
    r"(?i)could not keep": "what is heated twice or late, and how to shield it",
    r"(?i)no ground on: nothing": "all metal a hand touches is grounded",
    r"(?i)\bchoose with\b": "a sheet cannot be asked",
}
"""Pattern -> why it does not belong on paper, or what to say."""


NAMED = re.compile(r"(lead|braid of) ")
"""What the alternative text of a lead begins with: its ends are named as the file has them, for programs that read a
drawing back."""


@cache
def sheets(name: str) -> Mapping[str, list[Sheet]]:
    """Every kind of sheet of a sample, as it goes to the writers."""
    return sheets_of(job_of(proof_of(name), Request(sheets=sheet_names())))


def words(marks: Iterable[Mark]) -> Iterator[str]:
    for mark in marks:
        if isinstance(mark, Text):
            yield mark.text
        elif isinstance(mark, (Group, Viewport)):
            yield getattr(mark, "alt", "")
            yield from words(mark.children)


def page_words(name: str) -> Iterator[str]:
    proof = proof_of(name)
    assert proof.chart is not None
    page = player_page(context_of(proof), proof.chart)
    yield from (*page.hints, *page.notes, *page.heads, *(o.sentence for o in page.played.outcomes))
    yield from (cell for row in page.table for cell in row)


def keys(build: Build) -> str:
    """What matches a coil or a lug as the file names it: ``neck.a``, ``volume.wiper``."""
    return rf"(?<![\w.-])(?:{'|'.join(map(re.escape, sorted(build.parts, key=len, reverse=True)))})\.[a-z0-9]"


def symbols(build: Build) -> str:
    """What matches the name of a symbol that is no word of its own: ``pot-24``."""
    names = {p.symbol.name for p in build.parts.values() if "-" in p.symbol.name and p.name != p.symbol.name}
    return rf"(?<![\w-])(?:{'|'.join(map(re.escape, sorted(names)))})(?![\w-])"


@pytest.mark.parametrize("name", SAMPLES)
def test_no_sheet_says_what_only_a_file_or_a_terminal_understands(name: str) -> None:
    build = proof_of(name).build
    assert build is not None
    said = {kind: list(words(m for sheet in made for m in sheet.marks)) for kind, made in sheets(name).items()}
    said["page"] = list(page_words(name))
    rules = {**FORBIDDEN, keys(build): "a coil or a lug as the file names it",
             symbols(build): "a symbol of the library: say what kind of part it is"}
    wrong = [f"{kind}: {text!r}: {why}" for kind, texts in said.items() for text in dict.fromkeys(texts)
             for pattern, why in rules.items() if not NAMED.match(text) and re.search(pattern, text)]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(("text", "said"), [
    ("hot is shorted to ground by lead W09 on line 1 (volume.wiper -> volume.case)",
     "hot is shorted to ground by lead W09 (volume wiper to volume case)"),
    ("none of the 3 wanted sounds (lines 12, 13, 14) is given: wanted neck.a + neck.b",
     "none of the 3 wanted sounds is given: wanted neck, both coils in series"),
    ("Choose: --state with the controls that stand still.", ""),
    ("Move one. Write them in with: diagramgen labels BUILD --pin. Then look.", "Move one. Then look."),
    ("the black lead W08 on strings.ground", "the black lead W08 on strings"),
    ("neck.a start and bridge.bare; bridge.bare.", "neck a start and bridge bare; bridge bare."),
])
def test_a_sentence_of_the_terminal_as_paper_has_it(text: str, said: str) -> None:
    build = proof_of("baritone").build
    assert build is not None
    assert on_paper(text, build) == said


def test_every_kind_of_sheet_was_read() -> None:
    assert {kind for name in SAMPLES for kind in sheets(name)} == set(sheet_names())
