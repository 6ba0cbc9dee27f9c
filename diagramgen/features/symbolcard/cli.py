"""``symbols``: what parts there are, and a card of each to hold the real part against."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.completion import complete_symbol
from diagramgen.console.report import HAS_ERRORS, print_json, replace_option, report_problems, write_sheets
from diagramgen.kernel.paper import PRINTED
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from diagramgen.kernel.diagnostics import Diagnostics
    from diagramgen.library.catalogue import Catalogue
    from diagramgen.library.model import Symbol


@click.command()
@click.argument("names", nargs=-1, shell_complete=complete_symbol)
@click.option("--out", "folder", type=click.Path(path_type=Path), default=None,
              help="Write full-size cards (SVG and PDF) into this folder; without it words alone.")
@click.option("--paper", type=click.Choice(PRINTED, case_sensitive=False), default="a4",
              show_default=True, help="Paper of the cards.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@replace_option
@click.option("--json", "as_json", is_flag=True, help="List as JSON.")
def symbols(
    names: tuple[str, ...], folder: Path | None, paper: str, own: Path | None, replace: bool, as_json: bool
) -> None:
    """List all symbols, or say the lugs of NAMES; with --out write their full-size cards.

    \b
    Examples:
      diagramgen symbols
      diagramgen symbols pot-24
      diagramgen symbols pot-24 lever-open-5 --out cards
    """
    from diagramgen.kernel.diagnostics import Diagnostics, nearest
    from diagramgen.library import catalogue

    say = Diagnostics()
    known = catalogue.with_own(own, say) if own else catalogue.shipped()
    known.say = say
    names = tuple(map(catalogue.name_today, names))
    for name in names:
        if name not in list(known):
            raise click.UsageError(f"there is no symbol '{name}'. {nearest(name, list(known))}")
    if not names:
        _list(known, as_json)
        _end(say)
        return
    read = {name: known[name] for name in names if known.usable(name)}
    for symbol in read.values():
        for line in _in_words(symbol):
            click.echo(line)
    if folder is not None:
        files = {file: data for symbol in read.values() for file, data in _card(symbol, paper).items()}
        # Cards of other parts stay: each rests on its symbol alone.
        for path in write_sheets(folder, files, "", "symbols", some=True, permission=Permission(replace)):
            click.echo(str(path))
    _end(say)


def _end(say: Diagnostics) -> None:
    """Say what is wrong with symbol files; status 1 where one cannot be used."""
    report_problems(say.sorted())
    if say.has_errors:
        sys.exit(HAS_ERRORS)


def _list(known: Catalogue, as_json: bool) -> None:
    found = [known[name] for name in known if known.usable(name)]
    if as_json:
        print_json({"symbols": [
            {"name": s.name, "kind": s.kind, "family": s.family, "lugs": list(s.lug_names()),
             "dimensions": {d.name: d.value for d in s.dimensions.values()}, "about": s.about} for s in found]})
        return
    families = dict.fromkeys(s.family for s in found)
    wide = max(len(s.name) for s in found)
    for family in families:
        click.echo(family)
        for s in found:
            if s.family == family:
                click.echo(f"  {s.name:<{wide}}  {s.kind}")


def _in_words(symbol: Symbol) -> Iterator[str]:
    """What a build file needs to know of a symbol: lugs, values, what may be measured, controls."""
    yield f"{symbol.name}: {symbol.kind}"
    yield "  lugs: " + ", ".join(symbol.lug_names())
    for control in symbol.controls:
        words = [f"{p} ({w})" if p != w else p for p, w in zip(control.positions, control.words, strict=True)]
        yield f"  control {control.name}: " + (", ".join(words) or "knob, 0 to 10")
    if symbol.values:
        yield "  values: " + ", ".join(symbol.values)
    if symbol.dimensions:
        yield "  dimensions: " + ", ".join(symbol.dimensions)


def _card(symbol: Symbol, paper: str) -> dict[str, bytes]:
    from diagramgen.features.symbolcard.sheet import card_sheets
    from diagramgen.kernel.paper import PAPERS
    from diagramgen.writers.pdf import pdf_bytes
    from diagramgen.writers.svg import svg_bytes

    name, sheets = symbol.name, card_sheets(symbol, PAPERS[paper])
    return {f"card-{name}.pdf": pdf_bytes(sheets, f"part card {name}"), f"card-{name}.svg": svg_bytes(sheets[0])}
