"""From a proved build and a price file to buying list, estimate and account. Nothing here prints or exits."""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from diagramgen.analysis import Analysis, changes_of
from diagramgen.features.price.bill import Bill, bill, check_names
from diagramgen.features.price.price_file import PriceFile, read_prices
from diagramgen.job.material import BuyingList, buying_list
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources, read_bytes
from diagramgen.kernel.version import __version__
from diagramgen.sheets.context import context_of

if TYPE_CHECKING:
    from diagramgen.kernel.paper import Paper
    from diagramgen.sheets.context import SheetContext, SheetMaker

SHEETS = {"buying": "buying", "quote": "estimate", "invoice": "account"}
"""Sheet asked for -> the word printed on it."""


@dataclass(frozen=True)
class Priced:
    """A job with its buying list and, where there is a price file without faults, its bill."""

    listed: BuyingList
    prices: PriceFile | None
    bill: Bill | None
    checksum: str
    """Of build and prices together."""


def priced(analysis: Analysis, file: Path | None, say: Diagnostics, symbols: Path | None = None) -> Priced | None:
    """The buying list and bill of a build; ``file`` goes before the price file the build names.

    Problems go to ``say``. None for a build without a layout.
    """
    build, layout = analysis.build, analysis.layout
    if build is None or layout is None:
        return None
    listed = buying_list(layout, analysis.rows, changes_of(analysis))
    data, name = _prices_of(analysis, file, say)
    prices = read_prices(data, name, say) if data is not None else None
    check = analysis.checksum
    if data is not None:
        check = hashlib.sha256(f"{check} {hashlib.sha256(data).hexdigest()}".encode()).hexdigest()[:8]
    made = None
    if prices is not None and not say.has_errors:
        check_names(listed, prices, _symbols(symbols), say)
        made = bill(listed, prices, say)
    return Priced(listed, prices, None if say.has_errors else made, check)


def lacks_prices(found: Priced, sheets: Collection[str]) -> bool:
    """Whether a sheet is asked for that says prices, and there is no price file."""
    return found.prices is None and not {"buying"}.issuperset(sheets)


def usual_sheets(found: Priced) -> tuple[str, ...]:
    """The sheets made where none is named."""
    return ("buying", "quote") if found.bill is not None else ("buying",)


def read_files(analysis: Analysis, file: Path | None) -> tuple[Path, ...]:
    """Every file the figures are made from; ``file``: the price file that was named."""
    build = analysis.build
    own = (analysis.files[0].parent / build.prices,) if build is not None and build.prices else ()
    return (*analysis.files, *(() if file is None else (file,)), *own)


def _prices_of(analysis: Analysis, file: Path | None, say: Diagnostics) -> tuple[bytes | None, str]:
    """The bytes of the price file and its name in messages."""
    build = analysis.build
    if file is not None:
        return read_bytes(file, say, what="price file"), str(file)
    if build is None or build.prices_at is None:
        return None, ""
    folder = Path(build.file).parent
    return Sources(folder).read(build.prices, build.prices_at, say), str(folder / build.prices)


def _symbols(own: Path | None) -> tuple[str, ...]:
    from diagramgen.library import catalogue

    return tuple(catalogue.with_own(own, Diagnostics()) if own else catalogue.shipped())


def price_files(analysis: Analysis, found: Priced, sheets: tuple[str, ...], paper_name: str = "") -> dict[str, bytes]:
    """The sheets asked for as PDF and SVG, the lists behind them as CSV, and all figures as JSON."""
    from diagramgen.features.price import export as billexport
    from diagramgen.kernel.paper import PAPERS
    from diagramgen.writers.pdf import pdf_bytes
    from diagramgen.writers.svg import svg_bytes

    context = context_of(analysis)
    context = replace(context, job=replace(context.job, checksum=found.checksum))
    paper = PAPERS[paper_name or context.layout.build.paper or "a4"]
    title = " ".join(t for t in (context.job.job, context.job.title) if t) or "job"
    files: dict[str, bytes] = {}
    for name in sheets:
        makers = _makers(name, found, context, paper)
        made = [make(i, len(makers)) for i, make in enumerate(makers, 1)]
        for i, sheet in enumerate(made, 1):
            files[f"{name}-{i}.svg"] = svg_bytes(sheet)
        files[f"{name}.pdf"] = pdf_bytes(made, f"{title}: {SHEETS[name]}", author=context.job.workshop,
                                         subject=context.job.instrument,
                                         keywords=f"diagramgen {__version__}, file check {found.checksum}")
    files["buying.csv"] = billexport.buying_csv(found.listed, found.prices, found.checksum).encode()
    if found.bill is not None:
        files["price.csv"] = billexport.bill_csv(found.bill, found.checksum).encode()
    files["price.json"] = billexport.price_json(found.listed, found.bill, found.checksum).encode()
    return files


def _makers(name: str, found: Priced, context: SheetContext, paper: Paper) -> list[SheetMaker]:
    from diagramgen.features.price.bill_sheet import Addressed, bill_sheets
    from diagramgen.features.price.buying_sheet import buying_sheets

    if name == "buying":
        return buying_sheets(found.listed, found.prices, context, paper)
    if found.bill is None:
        return []
    record = context.layout.build.record
    to = Addressed(record.get("customer", ""), record.get("reference", ""), found.listed.counted)
    return bill_sheets(found.bill, SHEETS[name], to, context.job, paper, context.unproved)
