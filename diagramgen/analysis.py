"""Reads a build file and finds out all there is to know of it: its circuit solved, its leads laid out, every problem.

Nothing here prints, draws a sheet or exits. ``examine`` does all of it; ``read``, ``solved`` and ``laid_out`` are its
steps, each from a frozen ``Analysis`` to the next.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from diagramgen.kernel.brief import brief, counted
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location, Problem, spoken
from diagramgen.kernel.provenance import read_bytes

if TYPE_CHECKING:
    from diagramgen.circuit.state_table import StateTable
    from diagramgen.job.changes import Changes
    from diagramgen.job.lead_row import LeadRow
    from diagramgen.job.order import Order
    from diagramgen.job.verdict import Verdict
    from diagramgen.kernel.provenance import Sources
    from diagramgen.layout.global_routing.region_memo import RegionRouter
    from diagramgen.layout.model import Layout
    from diagramgen.model.build import Build


@dataclass(frozen=True, repr=False)
class Analysis:
    """What was read and found out about a build, as far as it could go."""

    build: Build | None = None
    layout: Layout | None = None
    roles: Mapping[str, str] = field(default_factory=dict)
    """Lug -> what its net is: hot, ground and so on."""
    order: Order | None = None
    """In what order joints are made."""
    rows: tuple[LeadRow, ...] = ()
    """Every lead in that order."""
    chart: StateTable | None = None
    """Every state solved; None where the circuit could not be."""
    verdicts: tuple[Verdict, ...] = ()
    """What was metered, held against the chart."""
    astray: frozenset[str] = frozenset()
    """Tags of leads to parts that stand in the wall of their cavity."""
    checksum: str = ""
    problems: tuple[Problem, ...] = ()
    sources: Mapping[str, str] = field(default_factory=dict)
    """SHA-256 of every file read, by its role."""
    files: tuple[Path, ...] = ()
    """Every file that was read or looked for in vain, the build file first."""
    texts: Mapping[str, list[str]] = field(default_factory=dict)
    """The lines of every file read, so that later problems can quote them."""

    @property
    def has_errors(self) -> bool:
        """Whether any problem is an error."""
        return any(p.severity is Severity.ERROR for p in self.problems)

    def __repr__(self) -> str:
        """One line: the file, how many errors and warnings, how many states were solved."""
        name = Path(self.build.file).stem if self.build is not None else "not read"
        errors, warnings = (sum(p.severity is one for p in self.problems) for one in (Severity.ERROR, Severity.WARNING))
        states = counted(self.chart.count, "state") if self.chart is not None else "not solved"
        return brief("Analysis", f"{name}: {counted(errors, 'error')}", counted(warnings, "warning"), states)


def examine(
    path: Path, symbols: Path | None = None, reading: bool = False, data: bytes | None = None,
    results: Path | None = None, mend: bool = False,
) -> Analysis:
    """Read, check, place and route a build file; every problem found on the way is in the result.

    ``reading``: only read it. ``data``: read these bytes as if they stood in the file. ``results``: the file of
    readings, in place of the one the build names. ``mend``: say what change of leads would mend the wiring.
    """
    texts: dict[str, list[str]] = {}
    say = Diagnostics(texts)
    data = read_bytes(path, say) if data is None else data
    analysis = Analysis(texts=texts)
    if data is not None:
        texts[spoken(path)] = data.decode("utf-8-sig", "replace").splitlines()
        analysis = _read(analysis, path, data, symbols, say, results)
        if not reading:
            analysis = solved(analysis, say, whole=not say.has_errors, mend=mend)
            analysis = laid_out(analysis, say)
    return replace(analysis, problems=say.sorted())


def _read(
    analysis: Analysis, path: Path, data: bytes, symbols: Path | None, say: Diagnostics, results: Path | None = None
) -> Analysis:
    from diagramgen.circuit.measured_values import metered
    from diagramgen.kernel.provenance import Sources
    from diagramgen.library import catalogue
    from diagramgen.reader.reader import read_build

    sources = Sources(path.parent)
    sources.note("build", data)
    known = catalogue.with_own(symbols, say) if symbols else catalogue.shipped()
    known.say = say
    build = read_build(data, spoken(path), sources, known, say)
    if build is not None and results is not None:
        build = _with_results(build, results, sources, say)
    checksum = sources.checksum()[:8]
    everything, files = sources.everything(), (path, *sources.paths())
    if build is not None:
        build = _begun(build, say)
        if build.results is not None:
            build = metered(build, build.results, say)
    return replace(analysis, build=build, checksum=checksum, sources=everything, files=files)


def _with_results(build: Build, results: Path, sources: Sources, say: Diagnostics) -> Build:
    """The build with the readings of a file named beside it."""
    from diagramgen.reader.results import read_results

    data = read_bytes(results, say)
    if data is None:
        return build
    sources.note("results", data)
    return replace(build, results=read_results(data, spoken(results), say))


def solved(analysis: Analysis, say: Diagnostics, whole: bool, mend: bool = False) -> Analysis:
    """Check the circuit of a build that was read and solve it in every state.

    ``whole``: nothing of the file was left out unread. ``mend``: say what change of leads would mend the wiring.
    """
    from diagramgen.circuit.proof import prove
    from diagramgen.circuit.rules.connections import check_connections
    from diagramgen.job.results import check_results

    build = analysis.build
    if build is None:
        return analysis
    if not whole:
        # A lead that could not be read is missing from the circuit: what follows from that is no news.
        aside = Diagnostics()
        check_connections(build, aside)
        say.extend(say.quoted(p) for p in aside if p.severity is not Severity.NOTE)
        return analysis
    check_connections(build, say)
    chart = prove(build, say, mend=mend)
    analysis = replace(analysis, chart=chart)
    if build.results is not None and chart is not None:
        analysis = replace(analysis, verdicts=check_results(chart, build.results, build.job, say))
    return analysis


def laid_out(analysis: Analysis, say: Diagnostics, laying: RegionRouter | None = None) -> Analysis:
    """Place and route everything of a build that was read and check what fits.

    ``laying``: how the leads of a region are routed; a preview keeps the routes of regions in which nothing changed.
    """
    from diagramgen.circuit.net_roles import net_roles
    from diagramgen.drawing.leads_over_lugs import report_over_lugs
    from diagramgen.job.joint_rules import check_joints
    from diagramgen.job.lead_list import lead_rows
    from diagramgen.job.lengths import check_lengths
    from diagramgen.job.order import order_of
    from diagramgen.layout.fit.check import check_fit, report_routing
    from diagramgen.layout.plan import layout
    from diagramgen.reader.glyph_check import check_letters

    build = analysis.build
    if build is None:
        return analysis
    check_letters(build, say)
    check_joints(build, say)
    roles = dict(net_roles(build))
    routed = Diagnostics()
    laid = layout(build, routed, laying)
    check_fit(laid, say, roles)
    astray = report_routing(laid, routed, say)
    report_over_lugs(laid, astray, say)
    check_lengths(laid, say)
    order = order_of(laid)
    return replace(analysis, roles=roles, layout=laid, astray=astray, order=order, rows=lead_rows(laid, order))


def _begun(build: Build, say: Diagnostics) -> Build:
    """The build without a state as found that is of another instrument; where the file names one, that is an error."""
    from diagramgen.job.changes import check_same_instrument

    before = build.as_found
    if before is None:
        return build
    same = check_same_instrument(before.build, build, before.place, say if before.named else Diagnostics())
    return build if same else replace(build, as_found=None)


def compared(found: Path, left: Path, symbols: Path | None = None) -> Analysis:
    """What was found out about the build as left, begun from the build as found in place of the one it names.

    Of the build as found only its reading counts: its circuit may well be wrong, that is why the work is done.
    """
    from diagramgen.model.build import AsFound

    say = Diagnostics()
    before, after = examine(found, symbols, reading=True), examine(left, symbols)
    say.extend(before.problems)
    say.extend(p for p in after.problems if p not in before.problems)
    build = after.build
    if build is not None and before.build is not None:
        build = _begun(replace(build, as_found=AsFound(before.build, Location(str(left)))), say)
    elif build is not None:
        build = replace(build, as_found=None)
    digests = hashlib.sha256(f"{before.checksum} {after.checksum}".encode())
    return replace(after, build=build, checksum=digests.hexdigest()[:8], files=(*after.files, *before.files),
                   problems=say.sorted())


def changes_of(analysis: Analysis) -> Changes | None:
    """What is done from the state as found; None where it is not known."""
    from diagramgen.job.changes import compare

    if analysis.build is None or analysis.build.as_found is None:
        return None
    return compare(analysis.build.as_found.build, analysis.build)
