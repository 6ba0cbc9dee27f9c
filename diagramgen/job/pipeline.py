"""Strings the steps together: build file to layout to sheets to bytes. Nothing here prints or exits."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from diagramgen import __version__
from diagramgen.kernel.diagnostics import Collector, Place, Problem, Severity, spoken
from diagramgen.kernel.provenance import read_bytes
from diagramgen.sheets.kinds import RECORD, SHEETS, why_not

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from diagramgen.circuit.state_table import Chart
    from diagramgen.drawing.scene import Sheet
    from diagramgen.features.changes.sheet import Pair
    from diagramgen.features.labels.compute import LabelWords
    from diagramgen.features.labels.sheet import LabelRun
    from diagramgen.features.sounds.curves_sheet import Chosen
    from diagramgen.job.changes import Changes
    from diagramgen.job.lead_list import LeadRow
    from diagramgen.job.order import Order
    from diagramgen.job.results import Verdict
    from diagramgen.kernel.provenance import Sources
    from diagramgen.layout.global_routing.region_memo import Laying
    from diagramgen.layout.model import Layout
    from diagramgen.model.build import Build
    from diagramgen.sheets.margin_panel import SheetMaker, Subject
    from diagramgen.sheets.paper import Paper


@dataclass(frozen=True)
class Request:
    """What to print and how."""

    paper: str = ""
    sheets: tuple[str, ...] = SHEETS
    png: bool = False
    dpi: float = 150.0
    lettering: str = "font"
    anyway: bool = False
    bar_measures: tuple[float, float] = (100.0, 100.0)
    """What the level and the upright bar of 100 mm measured on an uncorrected print, mm."""
    states: tuple[tuple[tuple[str, str], ...], ...] = ()
    """States shown on the sheets of states and of curves, each as pairs of control and position."""
    knobs: tuple[tuple[tuple[str, float], ...], ...] = ()
    """Settings of the knobs on the sheet of curves, each as pairs of ``part.control`` and 0 to 10."""
    spool: float = 0.0
    """What one length of wire measures on the sheet of work, mm; 0 for any length."""


@dataclass(repr=False)
class Proof:
    """What was read and found out about a build, as far as it could go."""

    build: Build | None = None
    layout: Layout | None = None
    roles: dict[str, str] = field(default_factory=dict)
    order: Order | None = None
    """In what order joints are made."""
    rows: tuple[LeadRow, ...] = ()
    """Every lead in that order."""
    chart: Chart | None = None
    """Every state solved; None where the circuit could not be."""
    verdicts: tuple[Verdict, ...] = ()
    """What was metered, held against the chart."""
    astray: frozenset[str] = frozenset()  # tags of leads to parts that stand in the wall of their cavity
    checksum: str = ""
    problems: tuple[Problem, ...] = ()
    sources: Mapping[str, str] = field(default_factory=dict)
    """SHA-256 of every file read, by its role."""
    files: tuple[Path, ...] = ()
    """Every file that was read or looked for in vain, the build file first."""
    texts: dict[str, list[str]] = field(default_factory=dict)
    """The lines of every file read, so that later problems can quote them."""

    @property
    def has_errors(self) -> bool:
        """Whether any problem is an error."""
        return any(p.severity is Severity.ERROR for p in self.problems)

    def __repr__(self) -> str:
        """One line: the file, how many errors and warnings, how many states were solved."""
        name = Path(self.build.file).stem if self.build is not None else "not read"
        errors, warnings = (sum(p.severity is one for p in self.problems) for one in (Severity.ERROR, Severity.WARNING))
        states = f"{self.chart.count} states" if self.chart is not None else "not solved"
        return f"<Proof {name}: {errors} errors, {warnings} warnings, {states}>"


def examine(
    path: Path, symbols: Path | None = None, reading: bool = False, data: bytes | None = None,
    results: Path | None = None, mend: bool = False,
) -> Proof:
    """Read, check, place and route a build file; every problem found on the way is in the result.

    ``reading``: only read it. ``data``: read these bytes as if they stood in the file. ``results``: the file of
    readings, in place of the one the build names. ``mend``: say what change of leads would mend the wiring.
    """
    proof = Proof()
    texts = proof.texts
    say = Collector(texts)
    data = read_bytes(path, say) if data is None else data
    if data is not None:
        texts[spoken(path)] = data.decode("utf-8-sig", "replace").splitlines()
        _read(path, data, symbols, say, proof, results)
        if proof.build is not None and not reading:
            _examine(proof.build, say, proof, mend)
    proof.problems = say.sorted()
    return proof


def _read(
    path: Path, data: bytes, symbols: Path | None, say: Collector, proof: Proof, results: Path | None = None
) -> None:
    from diagramgen.circuit.measured_values import metered
    from diagramgen.kernel.provenance import Sources
    from diagramgen.library import catalogue
    from diagramgen.reader.reader import read_build

    sources = Sources(path.parent)
    sources.note("build", data)
    known = catalogue.with_own(symbols, say) if symbols else catalogue.shipped()
    known.say = say
    proof.build = read_build(data, spoken(path), sources, known, say)
    if proof.build is not None and results is not None:
        proof.build = _with_results(proof.build, results, sources, say)
    proof.checksum = sources.checksum()[:8]
    proof.sources, proof.files = sources.everything(), (path, *sources.paths())
    if proof.build is None:
        return
    proof.build = _begun(proof.build, say)
    if proof.build.results is not None:
        proof.build = metered(proof.build, proof.build.results, say)


def _with_results(build: Build, results: Path, sources: Sources, say: Collector) -> Build:
    """The build with the readings of a file named beside it."""
    from diagramgen.reader.results import read_results

    data = read_bytes(results, say)
    if data is None:
        return build
    sources.note("results", data)
    return replace(build, results=read_results(data, spoken(results), say))


def _examine(build: Build, say: Collector, proof: Proof, mend: bool) -> None:
    solve(build, say, proof, whole=not say.has_errors, mend=mend)
    lay_out(build, say, proof)


def solve(build: Build, say: Collector, proof: Proof, whole: bool, mend: bool = False) -> None:
    """Check and solve the circuit; ``whole``: nothing of the file was left out unread; ``mend``: see ``prove``."""
    from diagramgen.circuit.proof import prove
    from diagramgen.circuit.rules.connections import check_connections
    from diagramgen.job.results import check_results

    if not whole:
        # A lead that could not be read is missing from the circuit: what follows from that is no news.
        aside = Collector()
        check_connections(build, aside)
        say.extend(say.quoted(p) for p in aside if p.severity is not Severity.NOTE)
        return
    check_connections(build, say)
    proof.chart = prove(build, say, mend=mend)
    if build.results is not None and proof.chart is not None:
        proof.verdicts = check_results(proof.chart, build.results, build.job, say)


def lay_out(build: Build, say: Collector, proof: Proof, laying: Laying | None = None) -> None:
    """Place and route everything and check what fits; ``laying``: how the leads of a room are laid."""
    from diagramgen.circuit.net_roles import net_roles
    from diagramgen.drawing.leads_over_lugs import say_over_lugs
    from diagramgen.job.joint_rules import check_joints
    from diagramgen.job.lead_list import lead_rows
    from diagramgen.job.lengths import check_lengths
    from diagramgen.job.order import order_of
    from diagramgen.layout.fit.check import check_fit, say_ways
    from diagramgen.layout.plan import layout
    from diagramgen.reader.glyph_check import check_letters

    check_letters(build, say)
    check_joints(build, say)
    proof.roles = dict(net_roles(build))
    routed = Collector()
    proof.layout = layout(build, routed, laying)
    check_fit(proof.layout, say, proof.roles)
    proof.astray = say_ways(proof.layout, routed, say)
    say_over_lugs(proof.layout, proof.astray, say)
    check_lengths(proof.layout, say)
    proof.order = order_of(proof.layout)
    proof.rows = lead_rows(proof.layout, proof.order)


def _begun(build: Build, say: Collector) -> Build:
    """The build without a state as found that is of another instrument; where the file names one, that is an error."""
    from diagramgen.job.changes import check_same_instrument

    before = build.as_found
    if before is None:
        return build
    same = check_same_instrument(before.build, build, before.place, say if before.named else Collector())
    return build if same else replace(build, as_found=None)


def compared(found: Path, left: Path, symbols: Path | None = None) -> Proof:
    """What was found out about the build as left, begun from the build as found in place of the one it names.

    Of the build as found only its reading counts: its circuit may well be wrong, that is why the work is done.
    """
    from diagramgen.model.build import AsFound

    say = Collector()
    before, after = examine(found, symbols, reading=True), examine(left, symbols)
    say.extend(before.problems)
    say.extend(p for p in after.problems if p not in before.problems)
    if before.build is not None and after.build is not None:
        begun = AsFound(before.build, Place(str(left)))
        after.build = _begun(replace(after.build, as_found=begun), say)
    elif after.build is not None:
        after.build = replace(after.build, as_found=None)
    digests = hashlib.sha256(f"{before.checksum} {after.checksum}".encode())
    after.checksum, after.files = digests.hexdigest()[:8], (*after.files, *before.files)
    after.problems = say.sorted()
    return after


def changes_of(proof: Proof) -> Changes | None:
    """What is done from the state as found; None where it is not known."""
    from diagramgen.job.changes import compare

    if proof.build is None or proof.build.as_found is None:
        return None
    return compare(proof.build.as_found.build, proof.build)


def _pair(proof: Proof, subject: Subject) -> Pair | None:
    """Both states laid out, as the sheets of changes draw them."""
    from diagramgen.circuit.net_roles import net_roles
    from diagramgen.drawing.leads_over_lugs import over_lugs
    from diagramgen.features.changes.sheet import Pair
    from diagramgen.layout.plan import layout
    from diagramgen.sheets.paper_words import on_paper

    changes = changes_of(proof)
    if changes is None or not changes.any:
        return None
    say = Collector()
    before = replace(subject, layout=layout(changes.found, say), roles=dict(net_roles(changes.found)), notes=())
    wrong = [p.message for p in say if p.severity is Severity.ERROR]
    wrong += [finding.message for finding in over_lugs(before.layout)]
    notes = tuple(on_paper(message, changes.found) for message in wrong)
    return Pair(before, subject, changes, notes)


def audited(proof: Proof) -> tuple[Problem, ...]:
    """What the full-size drawing of a build shows wrong, as warnings at the lead or part it speaks of."""
    from diagramgen.drawing.audit import audit
    from diagramgen.drawing.findings import REMEDIES, unsaid
    from diagramgen.features.diagrams.sheet import LABEL_ROOM, full_size_drawing

    if proof.layout is None:
        return ()
    say = Collector()
    # The drawing alone is measured: what its panel says of the sounds is not asked for.
    drawing, layout = full_size_drawing(subject_of(replace(proof, chart=None)))
    leads = {f"lead:{one.lead.tag}": one.lead.place for one in layout.leads}
    parts = {f"part:{name}": part.part.place for name, part in layout.parts.items()}
    for finding in unsaid(audit(drawing, layout, layout.box.grown(LABEL_ROOM)), proof.astray):
        places = [(leads | parts)[s] for s in finding.subjects if s in leads or s in parts]
        place = places[0] if places else Place(layout.build.file)
        say.warning(finding.code, place, finding.message, REMEDIES[finding.code])
    return say.sorted()


def subject_of(proof: Proof) -> Subject:
    """What the diagram sheets draw; raises ``ValueError`` for a proof without a layout."""
    from diagramgen.sheets.frame import JobLine
    from diagramgen.sheets.glance import NOTHING, glance
    from diagramgen.sheets.margin_panel import Subject, proposed_words
    from diagramgen.sheets.paper_words import on_paper

    build, layout = proof.build, proof.layout
    if build is None or layout is None:
        raise ValueError("nothing was laid out")
    record = build.record
    job = JobLine(build.job, build.title, build.instrument, record.get("date", ""), record.get("revision", ""),
                  record.get("workshop", ""), record.get("drawn by", ""), proof.checksum)
    # Errors first: where not all find room on a sheet, it is they that stand there.
    spoken = sorted((p for p in proof.problems if p.severity is not Severity.NOTE), key=lambda p: -p.severity)
    notes = [f"MISSING {one.tag or 'leads'}, could not be read: {one.says}" for one in build.unread]
    notes += [*proposed_words(layout), *(on_paper(p.message, build) for p in spoken)]
    notes += [f"To settle: {on_paper(q, build)}" for q in build.questions]
    told = glance(proof.chart) if proof.chart is not None else NOTHING
    return Subject(layout, proof.roles, job, tuple(notes), proof.has_errors, glance=told)


def unavailable(kind: str, proof: Proof) -> str:
    """Why a build has no sheet of this kind, with what to do about it; '' where it has one."""
    from diagramgen.layout.placement.guessed_places import given_up

    changes, layout = changes_of(proof), proof.layout
    lost = next((name for name in layout.regions if given_up(layout, name)), "") if layout is not None else ""
    return why_not(kind, to_scale=layout is not None and layout.to_scale, lost=lost, solved=proof.chart is not None,
                   found_known=changes is not None, changed=changes is not None and changes.any)


def compose(proof: Proof, request: Request) -> dict[str, bytes]:
    """The files of a build by name: SVG, PDF, CSV, JSON and, on request, PNG."""
    from diagramgen.features.leadlist.export import leads_csv, leads_json
    from diagramgen.job.lead_list import joints, wire_totals
    from diagramgen.sheets.paper import PAPERS
    from diagramgen.sheets.scale_marks import Correction

    subject = replace(subject_of(proof), correction=Correction(*request.bar_measures))
    if "leads" not in request.sheets:
        subject = replace(subject, listed="the check of the build lists them")
    paper = PAPERS[request.paper or subject.layout.build.paper or "a4"]
    if "record" in request.sheets:
        request = replace(request, sheets=(*request.sheets, *RECORD))
    makers = _bound(_makers(proof, subject, paper, request), proof, subject, paper, request)
    total = sum(len(group) for group in makers.values())
    made: dict[str, list[Sheet]] = {}
    number = 0
    for name, group in makers.items():
        made[name] = [maker(number + i + 1, total) for i, maker in enumerate(group)]
        number += len(group)
    if "packet" in made:
        from diagramgen.sheets.contents import linked

        made = linked(made)
    files = _written(made, subject, request)
    if made.get("curves") and proof.chart is not None:
        from diagramgen.features.sounds.curves_sheet import curves_csv

        files["curves.csv"] = curves_csv(proof.chart, proof.checksum, _curves_asked(proof.chart, request)).encode()
    changes = changes_of(proof)
    if made.get("changes") and changes is not None:
        from diagramgen.features.changes.export import changes_csv, changes_json

        files["changes.csv"] = changes_csv(changes, proof.checksum).encode()
        files["changes.json"] = changes_json(changes, proof.checksum).encode()
    if "leads" in request.sheets:
        files["leads.csv"] = leads_csv(proof.rows, proof.checksum, subject.layout.build.unread).encode()
        made_joints = joints(subject.layout.build)
        left_out = subject.layout.build.unread
        listed = leads_json(proof.rows, wire_totals(proof.rows), made_joints, proof.checksum, left_out)
        files["leads.json"] = listed.encode()
    return files


def _makers(proof: Proof, subject: Subject, paper: Paper, request: Request) -> dict[str, list[SheetMaker]]:
    """What makes each kind of sheet asked for, in the order they are numbered."""
    from diagramgen.features.cover.sheet import cover_sheets
    from diagramgen.features.diagrams import sheet as diagrams
    from diagramgen.features.jobpapers.closing_sheet import closing_sheets
    from diagramgen.features.leadlist.sheet import lead_sheets
    from diagramgen.features.sounds.curves_sheet import curve_sheets
    from diagramgen.features.sounds.proof_sheet import proof_sheets
    from diagramgen.features.template.sheet import template_sheets
    from diagramgen.features.testpage.sheet import test_sheets
    from diagramgen.sheets.forms import intake_sheets
    from diagramgen.sheets.small_drawings import stage_sheets, stages_of

    true = subject.layout.to_scale
    makers: dict[str, list[SheetMaker]] = {}
    if "diagram" in request.sheets and true:
        makers["diagram"] = diagrams.full_size(subject, paper)
    if "bench" in request.sheets or ("diagram" in request.sheets and not true):
        makers["bench"] = diagrams.enlarged(subject, paper)
    if "jig" in request.sheets and true:
        makers["jig"] = diagrams.jig(subject, paper)
    if "template" in request.sheets and true:
        makers["template"] = template_sheets(subject, paper)
    if "cover" in request.sheets:
        makers["cover"] = cover_sheets(subject, paper)
    if "stages" in request.sheets:
        makers["stages"] = stage_sheets(subject, stages_of(proof.rows), paper)
    if "work" in request.sheets and proof.order is not None:
        makers["work"] = _work(proof, proof.order, subject, paper, request.spool)
    if "player" in request.sheets:
        makers["player"] = diagrams.player(subject, paper)
    if {"changes", "undo"} & set(request.sheets):
        makers |= _change_makers(proof, subject, paper, request)
    if "proof" in request.sheets and proof.chart is not None:
        makers["proof"] = proof_sheets(proof.chart, proof.problems, subject.job, paper, subject.warning)
    if "curves" in request.sheets and proof.chart is not None:
        makers["curves"] = curve_sheets(proof.chart, subject.job, paper, subject.warning,
                                        _curves_asked(proof.chart, request))
    if "states" in request.sheets and proof.chart is not None:
        from diagramgen.features.sounds.states_sheet import chosen_states, state_sheets

        chosen = chosen_states(proof.chart, [dict(pairs) for pairs in request.states])
        makers["states"] = state_sheets(subject, proof.chart, chosen, paper)
    if "intake" in request.sheets:
        makers["intake"] = intake_sheets(subject, paper)
    if "closing" in request.sheets:
        makers["closing"] = closing_sheets(subject, paper)
    if "faults" in request.sheets and proof.chart is not None:
        from diagramgen.features.faults.sheet import fault_sheets

        makers["faults"] = fault_sheets(subject, paper, set(request.sheets) <= {"faults"})
    if "test" in request.sheets:
        makers["test"] = test_sheets(proof.chart, subject, paper)
    if "leads" in request.sheets:
        makers["leads"] = lead_sheets(proof.rows, subject, paper, set(makers) <= {"proof", "test"})
    return makers


def _bound(
    makers: dict[str, list[SheetMaker]], proof: Proof, subject: Subject, paper: Paper, request: Request
) -> dict[str, list[SheetMaker]]:
    """The sheets with the record that names their numbers, and with the packet's front page and contents."""
    from diagramgen.features.record.sheet import Work, record_sheets
    from diagramgen.sheets.contents import first_numbers, front_sheets, in_order
    from diagramgen.sheets.paper import handy

    paper = handy(paper)
    if "record" in request.sheets:
        work = Work(proof.chart, changes_of(proof), proof.verdicts)
        makers = {"record": record_sheets(work, subject, paper), **makers}
    if "packet" in request.sheets:
        makers = in_order(makers)
        makers = {"packet": front_sheets(makers, subject, paper), **makers}
    # Naming the other sheets can make the record a page longer; then their numbers move once more.
    for _ in range(3) if "record" in makers else ():
        numbered = record_sheets(replace(work, sheets=first_numbers(makers)), subject, paper)
        if len(numbered) == len(makers["record"]):
            return makers | {"record": numbered}
        makers |= {"record": numbered}
        if "packet" in makers:
            rest = {kind: group for kind, group in makers.items() if kind != "packet"}
            makers = {"packet": front_sheets(rest, subject, paper), **rest}
    return makers


def _work(proof: Proof, order: Order, subject: Subject, paper: Paper, spool: float) -> list[SheetMaker]:
    from diagramgen.features.bench.sheet import work_sheets
    from diagramgen.job.stage_checks import stage_checks

    # A build with errors in its circuit has no reading that could be promised.
    stops = stage_checks(subject.layout.build, order) if proof.chart is not None else ()
    return work_sheets(order, proof.rows, stops, subject, paper, spool)


def _curves_asked(chart: Chart, request: Request) -> Chosen:
    from diagramgen.features.sounds.curves_sheet import Chosen
    from diagramgen.features.sounds.states_sheet import chosen_states

    states = chosen_states(chart, [dict(pairs) for pairs in request.states]) if request.states else ()
    return Chosen(states, tuple(dict(pairs) for pairs in request.knobs))


def _change_makers(proof: Proof, subject: Subject, paper: Paper, request: Request) -> dict[str, list[SheetMaker]]:
    from diagramgen.features.changes.sheet import change_sheets, undo_sheets

    pair = _pair(proof, subject)
    kinds = {"changes": change_sheets, "undo": undo_sheets}
    alone = set(request.sheets) <= set(kinds)
    return {name: make(pair, paper, alone) for name, make in kinds.items() if pair and name in request.sheets}


def _written(made: dict[str, list[Sheet]], subject: Subject, request: Request) -> dict[str, bytes]:
    from diagramgen.features.diagrams.sheet import full_size_picture, player_picture

    title = " ".join(t for t in (subject.job.job, subject.job.title) if t) or "wiring diagram"
    files: dict[str, bytes] = {}
    pictures: dict[str, Sheet] = {}
    if made.get("diagram"):
        pictures["diagram"] = full_size_picture(subject, made["diagram"])
    # A build that is not to scale has no full-size sheet: its one drawing is the diagram.
    named = "bench" if subject.layout.to_scale else "diagram"
    pictures.update((f"{named}-{i}" if i > 1 else named, sheet) for i, sheet in enumerate(made.get("bench", ()), 1))
    if made.get("jig"):
        pictures["jig"] = full_size_picture(subject, made["jig"], jigs=True)
    if made.get("player"):
        pictures["player"] = player_picture(subject, made["player"])
    for name in ("template", "cover", "changes", "undo"):
        for i, sheet in enumerate(made.get(name, ())):
            pictures[f"{name}-{i + 1}" if i else name] = sheet
    for name in ("work", "curves", "states", "intake", "closing", "record", "faults"):
        pictures.update((f"{name}-{i}", sheet) for i, sheet in enumerate(made.get(name, ()), 1))
    for name, sheet in pictures.items():
        files[f"{name}.svg"] = _svg(sheet, request)
    files |= _pdfs(made, title, subject)
    if request.png:
        from diagramgen.writers.png import png_bytes

        for name, sheet in pictures.items():
            files[f"{name}.png"] = png_bytes(sheet, request.dpi)
        for name in ("leads", "proof", "test"):
            for i, sheet in enumerate(made.get(name, ())):
                files[f"{name}-{i + 1}.png"] = png_bytes(sheet, request.dpi)
    return files


def _pdfs(made: dict[str, list[Sheet]], title: str, subject: Subject) -> dict[str, bytes]:
    """All sheets in one file, the lead list alone, the record with its diagrams; of a packet each kind alone."""
    from diagramgen.sheets.contents import KINDS, first_numbers, unlinked
    from diagramgen.writers.pdf import pdf_bytes

    written = partial(pdf_bytes, author=subject.job.workshop, subject=subject.job.instrument,
                      keywords=f"diagramgen {__version__}, file check {subject.job.checksum}")
    files: dict[str, bytes] = {}
    everything = [s for group in made.values() for s in group]
    packed = "packet" in made
    whole = set(made) - {"leads"} and not (made.get("record") and set(made) <= {"record", *RECORD})
    if everything and (packed or whole):
        chapters = {first: KINDS[kind][0] for kind, first in first_numbers(made).items()} if packed else None
        files[f"{'packet' if packed else _joint_name(made, subject)}.pdf"] = written(everything, title,
                                                                                    chapters=chapters)
    for name in made if packed else ("leads", "record"):
        if made.get(name) and name != "packet":
            sheets = unlinked([*made[name], *(s for more in RECORD for s in made.get(more, ()))
                              ] if name == "record" else made[name])
            files[f"{name}.pdf"] = written(sheets, f"{title}: {KINDS[name][0].lower()}")
    return files


def _joint_name(made: dict[str, list[Sheet]], subject: Subject) -> str:
    """What all sheets in one file are called: after the diagram, or the one kind of sheet there is."""
    kinds = [kind for kind, group in made.items() if group and kind != "leads"]
    if "diagram" in kinds or ("bench" in kinds and not subject.layout.to_scale):
        return "diagram"
    return kinds[0] if len(kinds) == 1 else "sheets"


def _svg(sheet: Sheet, request: Request) -> bytes:
    from diagramgen.writers.svg import svg_bytes

    return svg_bytes(sheet, "outline" if request.lettering == "outline" else "font")


def player_file(proof: Proof, states: Sequence[Mapping[str, str]] = ()) -> bytes | None:
    """The player's page, of these states or of all; None where the circuit was not solved."""
    from diagramgen.features.playerpage.html import html_bytes
    from diagramgen.features.playerpage.page import player_page

    if proof.chart is None or proof.layout is None:
        return None
    return html_bytes(player_page(subject_of(proof), proof.chart, states))


def label_files(
    labels: Sequence[LabelWords], run: LabelRun, say: Collector, lettering: str = "font"
) -> dict[str, bytes]:
    """Label sheets by name, the list of what stands where, and the page to line the sheet up by (none for tape).

    Nothing where a problem found on the way is an error.
    """
    from diagramgen.features.labels.sheet import alignment_sheet, labels_csv, laid_labels
    from diagramgen.writers.pdf import pdf_bytes

    sheets, laid = laid_labels(labels, run, say)
    if say.has_errors or not sheets:
        return {}
    request = Request(lettering=lettering)
    files = {f"labels-{i}.svg": _svg(sheet, request) for i, sheet in enumerate(sheets, 1)}
    files["labels.pdf"] = pdf_bytes(sheets, f"{run.job} labels".strip(), subject="labels")
    files["labels.csv"] = labels_csv(laid, run.checksum).encode()
    if not run.sheet.tape:
        lining = alignment_sheet(run)
        files["alignment.svg"] = _svg(lining, request)
        files["alignment.pdf"] = pdf_bytes([lining], lining.title, subject="labels")
    return files
