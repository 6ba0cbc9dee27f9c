"""What is made of a build: sheets, the player's page, labels, papers of the office; and how it is written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagramgen.analysis import Analysis
from diagramgen.api.door import (
    AnyPath,
    Positions,
    Turns,
    analysis_of,
    file_of,
    folder_of,
    kind_of,
    laid_out,
    names_of,
    number_of,
    pair_of,
    paper_of,
    path_of,
    several_positions,
    several_turns,
    text_of,
    texts_of,
)
from diagramgen.api.records import Files, Price
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.errors import NotAvailable, NotProved, known_name
from diagramgen.kernel.frozen import FrozenDict
from diagramgen.sheets.registry import sheet_names

if TYPE_CHECKING:
    from diagramgen.features.price.papers import Priced

KINDS = sheet_names()
"""Every kind of sheet that can be asked for."""

LETTERING = ("font", "outline")


def print_sheets(
    analysis: Analysis, kinds: str | Sequence[str] = (), *, paper: str = "", png: bool = False, anyway: bool = False,
    states: Positions | Sequence[Positions] = (), knobs: Turns | Sequence[Turns] = (), dpi: float = 150,
    lettering: str = "font", bar_measures: tuple[float, float] = (100.0, 100.0), spool: float | None = None,
) -> Files:
    """The sheets of a solved build by file name: SVG, PDF, CSV, JSON and, with ``png``, pictures.

    Parameters: kinds - one of ``KINDS`` or several, none for the usual ones; paper - a4, a3, letter ... in any case,
    else what the build says; anyway - in spite of errors, every sheet stamped; states, knobs - what the sheets of
    states and of curves show; dpi - of pictures, 30 to 1200; lettering - of SVG: font | outline; bar_measures - what
    the level and the upright bar of 100 mm measured on a print, 90 to 110 mm; spool - one length of wire, mm.
    Raises ``NotProved`` for a build with errors, ``NotAvailable`` where it has none of the sheets asked for or the
    library for pictures is missing, ``UnknownName``, ``WrongValue``.
    """
    from diagramgen.circuit.named_settings import states_named, turns_named
    from diagramgen.sheets.printing import NO_HOLE, compose, reasons_against
    from diagramgen.sheets.registry import sheets_for
    from diagramgen.sheets.sheet_kind import Request

    asked, size = names_of(kinds, KINDS, "kind of sheet", "kinds"), paper_of(paper)
    drawn = known_name(text_of(lettering, "lettering"), LETTERING, "lettering")
    dots, bars = number_of(dpi, "dpi", 30, 1200), pair_of(bar_measures, "bar_measures", 90, 110)
    wire = 0.0 if spool is None else number_of(spool, "spool", 50, 100_000, " mm")
    held, turns = several_positions(states), several_turns(knobs)
    found = laid_out(analysis, anyway)
    assert found.build is not None
    missing = reasons_against(found, asked)
    if asked and len(missing) == len(asked):
        raise NotAvailable(" ".join(missing))
    solved = found.chart.space if found.chart else None
    shown = tuple(tuple(one.items()) for one in states_named(found.build, held, solved))
    settings = tuple(tuple(turns_named(found.build, one).items()) for one in turns)
    made = compose(found, Request(size, sheets_for(asked), png, dots, drawn, anyway, bars, shown, settings, wire))
    if not made:
        raise NotAvailable(NO_HOLE)
    return Files(made, found.checksum, found.files, "print", bool(asked), missing=missing)


def page(analysis: Analysis, *, states: Positions | Sequence[Positions] = (), anyway: bool = False) -> Files:
    """The player's page of a solved build: ``page.html``, one file that needs no network.

    Parameters: states - only these, else all; anyway - in spite of errors, stamped.
    Raises ``NotProved``, ``NotAvailable`` where the circuit was not solved, ``UnknownName``.
    """
    from diagramgen.circuit.named_settings import states_named
    from diagramgen.features.playerpage.file import player_file

    held = several_positions(states)
    found = laid_out(analysis, anyway)
    if found.chart is None or found.build is None:
        raise NotAvailable("the circuit was not solved: what was not solved cannot be played")
    made = player_file(found, states_named(found.build, held, found.chart.space))
    return Files({"page.html": made or b""}, found.checksum, found.files, "page")


def labels(
    analysis: Analysis, kinds: str | Sequence[str] = ("flags",), *, leads: str | Sequence[str] = (),
    on: AnyPath = "4x12-a4", tape: float | None = None, length: float | None = None, skip: int = 0,
    outlines: bool = False, code: float | None = None, before: AnyPath | None = None, automatic_tags: bool = False,
    bar_measures: tuple[float, float] = (100.0, 100.0), shift: tuple[float, float] = (0.0, 0.0),
    symbols: AnyPath | None = None,
) -> Files:
    """Labels by file name: sheets, the list of what stands where, the page to line the sheet up by.

    What ``read`` gives will do. Parameters: kinds - flags, wraps, sleeves, parts, bags; leads - only these tags; on -
    a ready label sheet, or the path of one's own; tape, length - continuous tape in its place, its width and the
    length of a label, mm; skip - labels of the first sheet used already; outlines - draw them, to cut by hand; code -
    side of a module of the QR code, 0.33 to 2 mm, None for no code; before - the build as found, for bags;
    automatic_tags - though tags do not stand in the file; bar_measures - as of ``print_sheets``; shift - right and
    down, up to 10 mm; symbols - folder of one's own.
    Raises ``NotProved`` for errors (also where tags do not stand in the file), ``UnknownName``, ``WrongValue``,
    ``NotAvailable`` where there is nothing to label. The ``problems`` of what it gives say what was shortened.
    """
    from diagramgen.features.labels.wish import LENGTHS, LabelWish, labels_wished
    from diagramgen.kernel.geometry import Point
    from diagramgen.sheets.scale_marks import Correction

    wish = LabelWish(
        names_of(kinds, tuple(LENGTHS), "kind of label", "kinds") or ("flags",), texts_of(leads, "leads"),
        str(path_of(on, "on")), _millimetres(tape, "tape"), _millimetres(length, "length"),
        int(number_of(skip, "skip", 0, 10_000)), outlines,
        0.0 if code is None else number_of(code, "code", 0.33, 2.0, " mm"), file_of(before, "before"), automatic_tags,
        Correction(*pair_of(bar_measures, "bar_measures", 90, 110)), Point(*pair_of(shift, "shift", -10, 10)))
    own = folder_of(symbols)
    found, say = analysis_of(analysis), Diagnostics()
    if found.build is None or found.has_errors:
        raise NotProved(found.problems)
    made = labels_wished(found, wish, say, own)
    if not made:
        raise NotProved(say.sorted())
    return Files(made, found.checksum, (*found.files, *wish.files), "labels", problems=say.sorted())


def _millimetres(given: Any, name: str) -> float | None:
    """A length that has limits of its own where it is used."""
    return None if given is None else number_of(given, name, 0, 10_000, " mm")


def price(
    analysis: Analysis, prices: AnyPath | None = None, *, sheets: str | Sequence[str] = (), paper: str = "",
    anyway: bool = False, symbols: AnyPath | None = None,
) -> Price:
    """What a solved build takes to buy and what it costs.

    Parameters: prices - the shop's price file, else the one the build names; sheets - buying, quote, invoice: made as
    ``files``; paper, anyway - as of ``print_sheets``; symbols - folder of one's own.
    Raises ``NotProved`` for errors in the build or the price file, ``NotAvailable`` where a sheet needs prices and
    there are none, ``UnknownName``.
    """
    from diagramgen.features.price.papers import SHEETS, lacks_prices, price_files, priced, read_files

    asked, size = names_of(sheets, SHEETS, "sheet of prices", "sheets"), paper_of(paper)
    file, own = file_of(prices, "prices"), folder_of(symbols)
    found = laid_out(analysis, anyway)
    say = Diagnostics(dict(found.texts))
    made = priced(found, file, say, own)
    if made is None or say.has_errors:
        raise NotProved(say.sorted())
    if lacks_prices(made, asked):
        raise NotAvailable("an estimate or account needs prices: name the shop's file, here or in the build under "
                           "'prices'")
    files = price_files(found, made, asked, size) if asked else {}
    return _price(made, Files(files, made.checksum, read_files(found, file), "price"), say)


def _price(made: Priced, files: Files, say: Diagnostics) -> Price:
    from diagramgen.features.price.export import bill_dict, buying_dict

    bill = None if made.bill is None else bill_dict(made.bill)
    return Price(bill["total"] if bill else None, bill["currency"] if bill else "",
                 tuple(bill["missing"]) if bill else (), FrozenDict(buying_dict(made.listed)),
                 FrozenDict(bill) if bill else None, files, say.sorted())


def write(
    folder: AnyPath, files: Mapping[str, bytes], analysis: Analysis | None = None, *, replace: bool = False
) -> list[Path]:
    """Write files into a folder, each whole or not at all, as the command does that makes such files.

    Sheets of an earlier run of that command that are no longer made go, unless some kinds alone were asked for and the
    build is the same. A file that was not written so, or was changed since, stays, and then nothing is written.

    Parameters: files - what ``print_sheets``, ``page``, ``labels`` or ``price(...).files`` give, or files by name
    together with the analysis they were made from; replace - write over a user's file of the same name, but never over
    one the build is made from.
    Returns: the paths. Raises ``CannotWrite``.
    """
    from diagramgen.writers.output_folder import LISTS, write_packet
    from diagramgen.writers.overwriting import Permission

    where = path_of(folder, "folder")
    if isinstance(files, Files):
        return write_packet(where, files, files.check, LISTS[files.command], files.some,
                            Permission(replace, files.read))
    if not isinstance(files, Mapping):
        raise TypeError(f"files are bytes by file name, not {kind_of(files)}")
    for name, data in files.items():
        if not isinstance(name, str) or not isinstance(data, bytes):
            raise TypeError(f"files are bytes by file name; '{name}' is {kind_of(data)}")
    found = analysis_of(analysis)
    return write_packet(where, files, found.checksum, permission=Permission(replace, found.files))
