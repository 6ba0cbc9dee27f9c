"""Sentences of the terminal as paper has them: without lines of a file, commands and the notation of lugs and coils."""

from __future__ import annotations

import re

from diagramgen.circuit.coil_words import called, in_words
from diagramgen.job.words import lug_word
from diagramgen.model.build import Build

_LINES = re.compile(r",? (?:on|in) lines? \d+(?:, \d+)*| \(lines? \d+(?:, \d+)*\)")
_COMMAND = re.compile(r"--[a-z]|\bdiagramgen [a-z]")


def on_paper(text: str, build: Build) -> str:
    """The sentences with words for what only a file or a terminal has; one that speaks of a command is left out."""
    lugs = {f"{name}.{lug}": _lug(build, name, lug)
            for name, part in build.parts.items() for lug in part.symbol.lug_names()}
    if lugs:
        any_lug = "|".join(map(re.escape, sorted(lugs, key=len, reverse=True)))
        text = re.sub(rf"(?<![\w.-])(?:{any_lug})(?![\w-]|\.\w)", lambda found: lugs[found.group()], text)
    text = in_words(text, build).replace(" -> ", " to ")
    text = _LINES.sub("", re.sub(r"\bis on line \d+", "is elsewhere", text))
    return " ".join(one for one in re.split(r"(?<=[.;]) ", text) if not _COMMAND.search(one))


def _lug(build: Build, name: str, lug: str) -> str:
    """``volume wiper``; the part alone where its lug is called the same."""
    says, word = called(build.parts[name]), lug_word(build, name, lug)
    return says if word.lower() == says.lower() else f"{says} {word}"
