"""What the tab key offers: lugs, parts and tags of the build on the command line, codes, symbols, what to start from.

Commands import this before they run, so nothing heavy is imported at the top; a build that cannot be read offers
nothing and says nothing, since the shell shows whatever is printed in the middle of the line being typed.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from diagramgen.model.build import Build

_SHELL = "_DIAGRAMGEN_COMPLETE"


def complete_addition(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Lugs for the two ends of a lead, then colours; names of kinds of part behind ``NAME:``."""
    if ctx.params.get("kind") == "lead":
        given = ctx.params.get("texts") or ()
        if len(given) < 2:
            return _offered(_lugs(ctx), incomplete)
        from diagramgen.kernel.colours import WORDS

        return _offered((words[0] for words in WORDS.values()), incomplete)
    head, colon, typed = incomplete.partition(":")
    if not colon:
        return []
    begin = f"{head}: "
    return _offered((begin + name for name in _symbols()), begin + typed.lstrip())


def complete_part(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Names of the parts of the build."""
    build = _build(ctx)
    return _offered(build.parts if build else (), incomplete)


def complete_tag(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Tags of the leads of the build."""
    build = _build(ctx)
    return _offered((lead.tag for lead in build.leads) if build else (), incomplete)


def complete_code(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Problem codes."""
    from diagramgen.kernel.codes import registry

    return _offered((code.id for code in registry().codes), incomplete.upper())


def complete_symbol(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Names of the shipped symbols."""
    return _offered(_symbols(), incomplete)


def complete_start(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Samples and ready groups."""
    from diagramgen.kernel import resources

    folder = resources.folder("samples")
    samples = [p.stem for p in folder.glob("*.yaml") if not p.with_suffix(".txt").exists()]
    return _offered([*samples, *(p.stem for p in (folder / "groups").glob("*.yaml"))], incomplete)


def _symbols() -> list[str]:
    from diagramgen.kernel import resources

    return [p.stem for p in resources.folder("symbols").glob("*.yaml")]


def _offered(names: Iterable[str], incomplete: str) -> list[CompletionItem]:
    from click.shell_completion import CompletionItem

    # bash puts what it is offered into the line as it is: a blank would end the word.
    blank = "\\ " if os.environ.get(_SHELL, "").startswith("bash") else " "
    return [CompletionItem(name.replace(" ", blank)) for name in sorted(set(names)) if name.startswith(incomplete)]


def _lugs(ctx: click.Context) -> list[str]:
    build = _build(ctx)
    return [f"{part.name}.{lug}" for part in build.parts.values() for lug in part.symbol.lug_names()] if build else []


def _build(ctx: click.Context) -> Build | None:
    from diagramgen.kernel.diagnostics import Diagnostics
    from diagramgen.kernel.provenance import Sources
    from diagramgen.library import catalogue
    from diagramgen.reader.reader import read_build

    # While an option still lacks its value the words before it are not told apart yet.
    given = ctx.params.get("build") or next((word for word in ctx.args if word.endswith((".yaml", ".yml"))), "")
    try:
        path = Path(given)
        data = path.read_bytes() if path.is_file() and path.stat().st_size < 1_000_000 else b""
        return read_build(data, str(path), Sources(path.parent), catalogue.shipped(), Diagnostics(), follow=False)
    except Exception:  # a shell is being typed into: nothing may be said there, whatever is wrong
        return None
