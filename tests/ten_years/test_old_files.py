"""Files of today's format are read in ten years: frozen builds give the frozen dumps; older formats are upgraded.

``tests/data/format-1`` is never changed: not the builds, which are the samples as they stood when the format was
frozen, and not the dumps, which hold what a technician would cut wire by (ends, colours, tags, kinds), what each
position gives and what is said about the circuit. A change of the program that changes a dump reads old files
otherwise than they were meant, but for what ``as_meant`` names. Lengths and places on paper are no part of it: the
router may learn.
``DIAGRAMGEN_FREEZE=1`` writes dumps that are missing; one that is there is left.
"""

from __future__ import annotations

import csv
import io
import json
import os
from functools import cache
from pathlib import Path

import pytest

from diagramgen.analysis import Analysis, examine
from diagramgen.features.leadlist.export import leads_csv
from diagramgen.kernel.codes import Severity, registry
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.reader import reader, upgrade
from diagramgen.yamlfile.nodes import MappingNode, ScalarNode

FROZEN = Path(__file__).resolve().parents[1] / "data" / "format-1"
BUILDS = sorted(FROZEN.glob("*.yaml"))
WORDS = ("tag", "from", "to", "colour", "colour_code", "kind", "gauge_awg", "shield_to", "reused", "remark")
SAID = "RSCJ"
"""Ranges of problems that speak of the file and the circuit, not of places and lengths."""
NEWER = {"C260"}
"""Warnings that were not known when the format was frozen; they take nothing of an old file's meaning."""
LESS_HUM = ("cancels", "most", "partly")
"""How far opposed coils take hum away was once said where nobody could know it; that they oppose is what stays."""


@cache
def proof(name: str) -> Analysis:
    return examine(FROZEN / name)


def lead_dump(analysis: Analysis) -> str:
    rows = csv.DictReader(io.StringIO(leads_csv(analysis.rows, "", ())))
    lines = ["\t".join(row[word] for word in WORDS) for row in rows]
    return "\n".join(["\t".join(WORDS), *sorted(lines)]) + "\n"


def sound_dump(analysis: Analysis) -> str:
    """A line a state: position, coils with their signs, network, phase, hum, what the meter reads to two figures.

    Of states that give the same the first stands for all.
    """
    if analysis.chart is None:
        return "no chart\n"
    lines = []
    for result in analysis.chart.results:
        sound, reading = result.sound, result.reading
        coils = [f"{'?' if h.usual or h.sign is None else '+-'[h.sign < 0]}{h.coil}" for h in sound.sounding]
        meter = reading.kind if reading.ohms is None else f"{float(f'{reading.ohms:.2g}'):g}"
        lines.append(json.dumps([analysis.chart.space.state(result.first), coils, sound.network, sound.phase, sound.hum,
                                 meter], ensure_ascii=False))
    return "\n".join(lines) + "\n"


def problem_dump(analysis: Analysis) -> str:
    """A line a problem, with the id it had when the format was frozen."""
    then = {code.id: code.was for code in registry().codes if code.was[:1] in tuple(SAID)}
    said = sorted((p.place, -p.severity, then[p.code]) for p in analysis.problems if p.code in then)
    return "".join(f"{place.line}:{place.column} {Severity(-severity).word} {was}\n" for place, severity, was in said)


DUMPS = {"leads.txt": lead_dump, "sounds.txt": sound_dump, "problems.txt": problem_dump}


@pytest.mark.parametrize("what", DUMPS)
@pytest.mark.parametrize("build", BUILDS, ids=lambda p: p.stem)
def test_a_frozen_build_gives_its_frozen_dump(build: Path, what: str) -> None:
    dump = build.with_suffix(f".{what}")
    found = DUMPS[what](proof(build.name))
    if os.environ.get("DIAGRAMGEN_FREEZE") and not dump.exists():
        dump.write_text(found, encoding="utf-8", newline="\n")
    assert as_meant(found) == as_meant(dump.read_text(encoding="utf-8"))


def as_meant(dump: str) -> str:
    """A dump without what has been learnt since, as said above."""
    for word in LESS_HUM:
        dump = dump.replace(f', "{word}", ', ', "less", ')
    return "".join(line for line in dump.splitlines(True) if line.split()[-1] not in NEWER)


def test_every_dump_has_its_build_and_says_something() -> None:
    names = {p.name for p in FROZEN.glob("*.txt")}
    assert names == {f"{b.stem}.{what}" for b in BUILDS for what in DUMPS}
    assert len(BUILDS) >= 10
    for build in BUILDS:
        assert len((FROZEN / f"{build.stem}.leads.txt").read_text(encoding="utf-8").splitlines()) > 5


@pytest.mark.parametrize("build", [b for b in BUILDS if b.stem != "wrong-on-purpose"], ids=lambda p: p.stem)
def test_a_frozen_build_has_no_error_and_no_hint_of_its_age(build: Path) -> None:
    said = proof(build.name).problems
    assert [p.text() for p in said if p.severity is Severity.ERROR] == []
    assert not any(p.code == "INP-014" for p in said)


# --- formats that do not exist: invented for these tests alone ------------------------------------------------------

OLD = """format: 0
name: Old words
parts:
  pickup: single-coil
  output: jack-mono-open
wires:
  - pickup.finish -> output.tip, red
  - pickup.start -> output.sleeve, blakc
"""


def from_zero(root: MappingNode) -> MappingNode:
    """The invented format 0 said 'name' for the title and 'wires' for the leads."""
    return upgrade.renamed(root, {"name": "title", "wires": "leads"})


def read(text: str, folder: Path = FROZEN):
    say = Diagnostics()
    return reader.read_build(text.encode(), "old.yaml", Sources(folder), shipped(), say), say.sorted()


@pytest.fixture
def with_a_step(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(upgrade, "STEPS", {0: from_zero})


def test_an_older_format_is_read_as_it_was_meant_and_problems_point_at_its_own_lines(with_a_step: None) -> None:
    build, said = read(OLD)
    assert build is not None
    assert build.title == "Old words"
    assert [(p.code, p.severity.word, p.place.line) for p in said] == [("INP-014", "note", 1), ("INP-218", "error", 8)]
    build, said = read(OLD.replace("blakc", "black"))
    assert [(str(lead.start), str(lead.end)) for lead in build.leads] == [
        ("pickup.finish", "output.tip"), ("pickup.start", "output.sleeve")]
    assert [p.severity for p in said] == [Severity.NOTE]


def test_a_step_is_tried_on_its_own_format_alone(with_a_step: None) -> None:
    """The same words in a file of format 1 are unknown keys, as they are without the step."""
    build, said = read(OLD.replace("format: 0", "format: 1"))
    assert build is None or not build.leads
    assert {p.code for p in said} >= {"INP-109"}


def test_an_old_base_under_new_changes_is_upgraded_too(with_a_step: None, tmp_path: Path) -> None:
    (tmp_path / "base.yaml").write_text(OLD.replace("blakc", "black"))
    build, said = read("format: 1\ntitle: New\nchanges to: base.yaml\nput in:\n  parts: {volume: pot-24}\n", tmp_path)
    assert [p.text() for p in said if p.severity is Severity.ERROR] == []
    assert len(build.leads) == 2
    assert set(build.parts) == {"pickup", "output", "volume"}


def test_in_a_later_program_today_s_files_pass_through_every_step(monkeypatch: pytest.MonkeyPatch) -> None:
    """A program of the invented format 3, with steps from 1 and 2; what it knows as 'leads' was so called in 1."""
    passed = []

    def step(number: int):
        def one(root: MappingNode) -> MappingNode:
            assert isinstance(root, MappingNode)
            passed.append(number)
            return root

        return one

    monkeypatch.setattr(upgrade, "STEPS", {1: step(1), 2: step(2)})
    monkeypatch.setattr(upgrade, "FORMAT", 3)
    text = (FROZEN / "one-volume.yaml").read_text(encoding="utf-8")
    build, said = read(text)
    assert passed == [1, 2]
    assert [(p.code, p.severity.word) for p in said if p.code == "INP-014"] == [("INP-014", "note")]
    assert len(build.leads) == len(proof("one-volume.yaml").build.leads)


def test_a_newer_format_is_refused_with_one_sentence_whatever_it_holds() -> None:
    build, said = read("format: 2\ntitle: T\nholograms: [1]\nleads: {never: seen}\n")
    assert build is None
    (one,) = said
    assert (one.code, one.severity, one.place.line) == ("INP-014", Severity.ERROR, 1)
    assert "format 2; this program reads format 1" in one.message
    assert one.remedy == "Use a newer diagramgen."


def test_an_older_format_without_a_step_is_refused_and_what_is_read_is_named() -> None:
    build, said = read(OLD)
    assert build is None
    (one,) = said
    assert "format 0, which this program cannot read" in one.message
    assert one.remedy == "Formats it reads: 1."


def test_a_gap_in_the_steps_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(upgrade, "FORMAT", 3)
    monkeypatch.setattr(upgrade, "STEPS", {2: lambda root: root, 0: from_zero})
    build, said = read(OLD)
    assert build is None
    assert said[0].remedy == "Formats it reads: 2 to 3."


@pytest.mark.parametrize("written", ["one", "-1", "1.5", "1000", "[1]", ""])
def test_a_format_that_is_no_number_is_a_problem_of_that_line(written: str) -> None:
    _, said = read(f"format: {written}\ntitle: T\nparts: {{output: jack-mono-open}}\n")
    assert any(p.place.line == 1 and p.severity is Severity.ERROR for p in said)


def test_a_value_is_exchanged_at_its_own_place() -> None:
    _, said = read("format: 2\n")
    assert said[0].place.column == 9
    place = said[0].place
    root = MappingNode(((ScalarNode("format", place), ScalarNode("0", place)),), place)
    assert upgrade.with_value(root, "format", ScalarNode("1", place)).get("format").text == "1"
