"""Sentences of the terminal as paper has them: without lines of a file, commands and the notation of lugs and coils."""

from __future__ import annotations

import re

from diagramgen.build.model import Build
from diagramgen.circuit.coilwords import called, in_words
from diagramgen.work.words import lug_word

_LINES = re.compile(r",? (?:on|in) lines? \d+(?:, \d+)*| \(lines? \d+(?:, \d+)*\)")
_COMMAND = re.compile(r"(?:^|(?<=[.;:] ))[^.;:]*(?:--[a-z]|\bdiagramgen [a-z])[^;]*?(?:[.;](?= |$)|$)")
"""A sentence that speaks of a command."""


def on_paper(text: str, build: Build) -> str:
    """The sentence with words for what only a file or a terminal has."""
    lugs = {f"{name}.{lug}": f"{called(part)} {lug_word(build, name, lug)}"
            for name, part in build.parts.items() for lug in part.symbol.lug_names()}
    if lugs:
        any_lug = "|".join(map(re.escape, sorted(lugs, key=len, reverse=True)))
        text = re.sub(rf"(?<![\w.-])(?:{any_lug})(?![\w-]|\.\w)", lambda found: lugs[found.group()], text)
    text = in_words(text, build).replace(" -> ", " to ")
    return _COMMAND.sub("", _LINES.sub("", text)).strip()
