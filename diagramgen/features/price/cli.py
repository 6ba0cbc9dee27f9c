"""``price``: buying list, estimate and account of a build."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.report import (
    HAS_ERRORS,
    counts,
    print_json,
    problem_dict,
    replace_option,
    report_problems,
    write_sheets,
    written,
)
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Problem
from diagramgen.kernel.paper import PRINTED
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from diagramgen.features.price.papers import Priced

SHEET_NAMES = ("buying", "quote", "invoice")
"""As ``papers.SHEETS`` has them, which is not loaded for ``--help``."""


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--prices", "file", type=click.Path(path_type=Path), default=None,
              help="The shop's price file. Default: the one the build names.")
@click.option("--sheet", "sheets", type=click.Choice(SHEET_NAMES), multiple=True,
              help="Only this sheet; may be given again. Default: buying, and quote where there are prices.")
@click.option("--out", "folder", type=click.Path(path_type=Path), default=None,
              help="Folder for the sheets. Default: no sheets, only the summary.")
@click.option("--paper", type=click.Choice(PRINTED, case_sensitive=False), default=None,
              help="Paper. Default: what the build says, else a4.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--anyway", is_flag=True, help="Write the sheets in spite of errors in BUILD, stamped NOT PROVED.")
@replace_option
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say everything as JSON.")
def price(
    build: Path, file: Path | None, sheets: tuple[str, ...], folder: Path | None, paper: str | None, own: Path | None,
    anyway: bool, replace: bool, quiet: bool, as_json: bool,
) -> None:
    """Say what BUILD takes to buy and what it costs; with --out, write buying list, estimate (quote) and account
    (invoice) as sheets, CSV and JSON.

    Joints, leads and parts are counted from the wiring; where the build names its state as found, only what is
    changed is counted. Every price, rate and minute is the shop's own (docs/prices.md).

    \b
    Examples:
      diagramgen price job.yaml --prices shop.yaml
      diagramgen price job.yaml --prices shop.yaml --out papers
      diagramgen price job.yaml --prices shop.yaml --sheet invoice --out papers
      diagramgen price job.yaml --sheet buying --out papers
    """
    from diagramgen.analysis import examine
    from diagramgen.features.price.papers import lacks_prices, price_files, priced, read_files, usual_sheets
    from diagramgen.kernel.diagnostics import Diagnostics

    analysis = examine(build, own)
    say = Diagnostics(dict(analysis.texts))
    found = priced(analysis, file, say, own)
    if found is not None and not say.has_errors and lacks_prices(found, sheets):
        raise click.UsageError("an estimate or account needs prices: name the shop's file with --prices, or in the "
                               "build under 'prices'.")
    problems = tuple(sorted({*analysis.problems, *say.sorted()},
                            key=lambda p: (p.place, -p.severity, p.code, p.message)))
    faulty = any(p.severity is Severity.ERROR for p in problems)
    usable = found is not None and not say.has_errors and (anyway or not faulty)
    files: list[Path] = []
    if found is not None and usable and folder is not None:
        made = price_files(analysis, found, sheets or usual_sheets(found), paper or "")
        files = write_sheets(folder, made, found.checksum, "price",
                             permission=Permission(replace, read_files(analysis, file)))
    _say(found if usable else None, files, problems, folder is not None, (quiet, as_json))
    if faulty:
        sys.exit(HAS_ERRORS)


def _say(
    found: Priced | None, files: list[Path], problems: tuple[Problem, ...], asked: bool, how: tuple[bool, bool]
) -> None:
    quiet, as_json = how
    if as_json:
        from diagramgen.features.price.export import bill_dict, buying_dict

        print_json({"buying": buying_dict(found.listed) if found else None,
                  "bill": bill_dict(found.bill) if found and found.bill else None,
                  "files": [str(f) for f in files], "checksum": found.checksum if found else "",
                  "problems": [problem_dict(p) for p in problems]})
        return
    report_problems(problems, quiet)
    if quiet:
        return
    if found is not None:
        click.echo("\n".join(_summary(found)))
    for file in files:
        click.echo(str(file))
    begin = f"{written(files)}; " if files or asked else ""
    click.echo(f"{begin}{counts(problems)}")


def _summary(found: Priced) -> Iterator[str]:
    """What is bought, what was counted, what it comes to."""
    from diagramgen.features.price.bill import stock_words
    from diagramgen.features.price.bill_sheet import counted_words, tax_words
    from diagramgen.kernel.brief import counted

    for line in found.listed.parts_that("buy"):
        s = line.specs
        values = " ".join(f"({f.words})" if f.typical else f.words for f in (s.value, s.taper) if f.words)
        place = f", in place of {'; '.join(line.replaces)}" if line.replaces else ""
        yield f"{line.quantity} x {', '.join(filter(None, (s.symbol, values)))}: {line.says}{place}"
    for stock in found.listed.stock:
        yield f"{stock.mm:f} mm {stock_words(stock)}"
    yield counted_words(found.listed.counted)
    made = found.bill
    if made is None:
        return
    currency = made.prices.currency
    for group, words in (("parts", "parts"), ("stock", "wire and sleeve"), ("labour", "work, counted"),
                         ("shop", "further")):
        if any(line.group == group for line in made.lines):
            yield f"{words}: {currency.words(made.sum_of(group))}"
    for one in made.taxes:
        how = "of it " if made.prices.tax_included else ""
        yield f"{how}{tax_words(one.tax.name, one.tax.percent, one.tax.on, made)}: {currency.words(one.amount)}"
    lacking = counted(len(made.missing), "price")
    so_far = "" if made.complete else f" so far: {lacking} {'is' if len(made.missing) == 1 else 'are'} missing"
    yield f"total: {currency.code} {currency.words(made.total)}{so_far}"
