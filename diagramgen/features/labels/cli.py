"""``labels``: labels for leads, cables, parts and bags; automatic tags written into the file."""

from __future__ import annotations

import hashlib
import sys
from dataclasses import replace as with_fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagramgen.console.arguments import bar_measures
from diagramgen.console.completion import complete_tag
from diagramgen.console.edit_in_place import bytes_of, write_back
from diagramgen.console.number_types import NumberIn
from diagramgen.console.report import (
    HAS_ERRORS,
    counts,
    fail,
    print_json,
    problem_dict,
    replace_option,
    report_problems,
    write_sheets,
    written,
)
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis
    from diagramgen.features.labels.wish import LabelWish

KINDS = ("flags", "wraps", "sleeves", "parts", "bags")
"""As ``wish.LENGTHS`` has them, which is not loaded for ``--help``."""


def _shift(_: click.Context, __: click.Parameter, said: str | None) -> tuple[float, float]:
    """Right and down in mm; a usage error where they are not two numbers within 10."""
    if said is None:
        return 0.0, 0.0
    try:
        right, down = (float(part.strip().removesuffix("mm")) for part in said.split(","))
    except ValueError:
        raise click.BadParameter(f"{said!r} is not two lengths in mm with a comma between: 0.5,-1") from None
    if not (-10 <= right <= 10 and -10 <= down <= 10):
        raise click.BadParameter("more than 10 mm is no shift: check the label sheet's margin")
    return right, down


@click.command()
@click.argument("build", type=click.Path(path_type=Path), required=False)
@click.option("--out", "folder", type=click.Path(path_type=Path), default=None,
              help="Folder for the labels. Default: the build's name with -labels, beside it.")
@click.option("--kind", "kinds", type=click.Choice(KINDS), multiple=True,
              help="What to label with; may be given again. Default: flags.")
@click.option("--lead", "only", multiple=True, metavar="TAG", shell_complete=complete_tag,
              help="Only this lead; may be given again.")
@click.option("--on", "sheet_name", default="4x12-a4", show_default=True, metavar="NAME|FILE",
              help="Label sheet: a ready one (--list) or a file of your own.")
@click.option("--tape", type=float, default=None, metavar="WIDTH", help="Continuous tape of this width in mm.")
@click.option("--length", type=float, default=None, help="With --tape: length of a label in mm.")
@click.option("--skip", type=click.IntRange(0, 10000), default=0, help="Labels of the first sheet used already.")
@click.option("--outlines", is_flag=True, help="Draw the labels' outlines, for paper that is cut by hand.")
@click.option("--code", is_flag=True, help="QR code with tag, file check and job (flags, parts, bags).")
@click.option("--module", type=NumberIn(0.33, 2.0), default=0.4, show_default=True,
              help="Side of a module of the code in mm.")
@click.option("--before", type=click.Path(path_type=Path), default=None,
              help="Build as found, where BUILD does not name it: with --kind bags its parts that went get bag labels.")
@click.option("--automatic-tags", is_flag=True, help="Print labels although their tags do not stand in the file.")
@click.option("--pin", is_flag=True, help="Write the automatic tags into BUILD; prints nothing.")
@click.option("--bar-measures", "measures", default=None, metavar="ACROSS,UPRIGHT", callback=bar_measures,
              help="What the two 100 mm bars of a print measured: labels are stretched to come out true.")
@click.option("--shift", default=None, metavar="RIGHT,DOWN", callback=_shift,
              help="Move everything by so many mm, such as 0.5,-1.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@replace_option
@click.option("--list", "as_list", is_flag=True, help="List the ready label sheets.")
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say files and problems as JSON.")
def labels(build: Path | None, own: Path | None, pin: bool, as_list: bool, quiet: bool, as_json: bool,
           **how: Any) -> None:
    """Print labels for BUILD: flags folded over both ends of each lead, wraps for cables, sleeve markers, parts, bags.

    Put flags on before anything is unsoldered. Labels rest on tags that stand in the file: --pin writes them in.

    \b
    Examples:
      diagramgen labels baritone.yaml --pin
      diagramgen labels baritone.yaml --on 3x8-a4 --code
      diagramgen labels baritone.yaml --kind wraps --kind parts --skip 12
      diagramgen labels baritone.yaml --kind sleeves --tape 12
    """
    if as_list:
        _list(as_json)
        return
    if build is None:
        raise click.UsageError("name the build file: diagramgen labels my.yaml")
    from diagramgen.analysis import examine

    analysis = examine(build, own, reading=True)
    if pin and analysis.build is not None and not analysis.has_errors:
        _pin(build, analysis, own, quiet, as_json)
        return
    files: list[Path] = []
    if analysis.build is not None and not analysis.has_errors:
        analysis, files = _print(build, analysis, own, how)
    if as_json:
        print_json({"files": [str(f) for f in files], "checksum": analysis.checksum,
                  "problems": [problem_dict(p) for p in analysis.problems]})
    else:
        report_problems(analysis.problems, quiet)
        for file in files if not quiet else ():
            click.echo(str(file))
        if not quiet:
            click.echo(f"{written(files)}; {counts(analysis.problems)}")
    if analysis.has_errors:
        sys.exit(HAS_ERRORS)


def _print(path: Path, analysis: Analysis, own: Path | None, how: dict[str, Any]) -> tuple[Analysis, list[Path]]:
    """Write the labels; returns the analysis with the problems found on the way, and the files."""
    from diagramgen.features.labels.wish import NoBuildAsFound, labels_wished
    from diagramgen.kernel.diagnostics import Diagnostics
    from diagramgen.kernel.errors import NotAvailable, UnknownName, WrongValue

    say, wish = Diagnostics(), _wish(how)
    try:
        files = labels_wished(analysis, wish, say, own)
    except NoBuildAsFound as fault:
        raise click.UsageError(f"{fault}: --before found.yaml") from None
    except NotAvailable as fault:
        raise click.UsageError(str(fault)) from None
    except (UnknownName, WrongValue) as fault:
        raise click.BadParameter(str(fault)) from None
    problems = sorted((*analysis.problems, *say.sorted()), key=lambda p: (p.place, -p.severity, p.code))
    analysis = with_fields(analysis, problems=tuple(problems))
    if not files:
        return analysis, []
    out = how["folder"] if how["folder"] is not None else path.with_name(path.stem + "-labels")
    return analysis, write_sheets(out, files, analysis.checksum, "labels",
                                  permission=Permission(how["replace"], (*analysis.files, *wish.files)))


def _wish(how: dict[str, Any]) -> LabelWish:
    """What the options say of the labels to print."""
    from diagramgen.features.labels.wish import LabelWish
    from diagramgen.kernel.geometry import Point
    from diagramgen.sheets.scale_marks import Correction

    if how["length"] is not None and how["tape"] is None:
        raise click.UsageError("--length goes with --tape; a label sheet has its own")
    same = ("only", "sheet_name", "tape", "length", "skip", "outlines", "before", "automatic_tags")
    return LabelWish(how["kinds"] or ("flags",), module=how["module"] if how["code"] else 0.0,
                     correction=Correction(*how["measures"]), shift=Point(*how["shift"]),
                     **{name: how[name] for name in same})


def _pin(path: Path, analysis: Analysis, own: Path | None, quiet: bool, as_json: bool) -> None:
    """Write the automatic tags into the file, once the new text is proved to read as the same build."""
    from diagramgen.analysis import examine
    from diagramgen.edit.set_tags import pinned_bytes, same_but_pinned
    from diagramgen.kernel.diagnostics import Diagnostics

    build = analysis.build
    if build is None:
        return
    say = Diagnostics()
    data = bytes_of(path)
    if data is None or hashlib.sha256(data).hexdigest() != analysis.sources.get("build"):
        fail(f"error: {path} changed while it was read; nothing was written", remedy="Try again.")
    new, tags = pinned_bytes(data, build, say)
    again = examine(path, own, reading=True, data=new)
    if again.build is None or again.has_errors or not same_but_pinned(build, again.build):
        raise click.ClickException("the tags cannot be written in safely; write them by hand: ', tag W01'")
    if tags:
        write_back(path, data, new)
    if as_json:
        print_json({"pinned": list(tags), "problems": [problem_dict(p) for p in say.sorted()]})
        return
    report_problems(say.sorted(), quiet)
    if not quiet:
        click.echo(f"{len(tags)} tags written into {path}" if tags else f"{path}: no tag to write in")


def _list(as_json: bool) -> None:
    from diagramgen.features.labels.label_stock import READY, read_label_sheet, ready_names
    from diagramgen.kernel.diagnostics import Diagnostics

    found = {}
    for name in ready_names():
        sheet = read_label_sheet((READY / f"{name}.yaml").read_bytes(), name, Diagnostics())
        if sheet is not None:
            found[name] = sheet
    if as_json:
        print_json({name: {"columns": s.columns, "rows": s.rows, "label": list(s.label), "paper": [s.width, s.height]}
                  for name, s in found.items()})
        return
    for name, s in found.items():
        click.echo(f"{name:<14} {s.count:>3} labels of {s.label.x:g} x {s.label.y:g} mm on {s.width:g} x {s.height:g}")
    click.echo(f"Typical ones, from memory: measure yours. Files to copy: {READY}")
