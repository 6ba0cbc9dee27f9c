"""What a command declares of itself, once: read by the help, the tab key and the docs.

A module ``..._command.py`` of a feature or of ``app`` holds one ``COMMAND``; it is found by its name. It imports
nothing heavy: what the command does is imported when it is called.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from functools import cache

import click

from diagramgen.kernel.discovery import modules_ending


@dataclass(frozen=True)
class Command:
    """A command: one declaration."""

    name: str
    about: str
    """The one line of the help."""
    place: int
    """The help lists commands in the order of these."""
    called: str
    """The click command, ``features.price.cli:price``."""

    def load(self) -> click.Command:
        """Import the click command."""
        module, _, name = self.called.partition(":")
        command: click.Command = getattr(importlib.import_module(f"diagramgen.{module}"), name)
        return command


@cache
def commands() -> dict[str, Command]:
    """Name -> command, in the order of the help; raises ``ValueError`` where two have one name or one place."""
    found: list[Command] = sorted((module.COMMAND for module in modules_ending("_command", "features", "app")),
                                  key=lambda command: command.place)
    named = {command.name: command for command in found}
    if len(named) < len(found) or len({command.place for command in found}) < len(found):
        raise ValueError("two commands have one name or one place")
    return named
