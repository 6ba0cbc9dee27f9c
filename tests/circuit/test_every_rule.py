"""Every rule of the circuit: a good sample with one lead or value changed breaks it, and a near miss does not.

The promises (``wanted``) of a sample are left out unless the rule is about them, so that a mutant shows no other
error than those named as implied. What counts as wrong is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from circuits import KNOWN

from diagramgen.circuit.proof import prove
from diagramgen.circuit.rules.connections import check_connections
from diagramgen.job.joint_rules import check_joints
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Problem
from diagramgen.kernel.provenance import Sources
from diagramgen.reader.reader import read_build

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
LOOSE, ONE, TOP, TOGGLE, LEVER = "no-cavity", "one-volume", "holes-in-top", "two-pickups-toggle", "three-singles-lever"
LEFT, BASS, BARITONE = "left-handed", "bass-active", "baritone"
ERROR, WARNING, NOTE = Severity.ERROR, Severity.WARNING, Severity.NOTE

Change = tuple[str, str]


@dataclass(frozen=True)
class Case:
    """A sample, the changes of its text that break a rule, and changes that come near and do not."""

    what: str
    code: str
    severity: Severity
    sample: str
    changes: tuple[Change, ...]
    says: str
    """Part of the message."""
    near: tuple[Change, ...] | None = None
    """Changes that do not break it; None: the sample as it is."""
    implied: frozenset[str] = frozenset()
    """Codes of other errors that are truly implied."""
    promised: bool = False
    """Whether the promises of the sample stay."""


def gone(line: str) -> Change:
    """A line of ``leads`` left out."""
    return f"  - {line}\n", ""


def more(line: str) -> Change:
    """A lead more."""
    return "leads:\n", f"leads:\n  - {line}\n"


def part(line: str) -> Change:
    """A part more."""
    return "\nparts:\n", f"\nparts:\n  {line}\n"


def wanted(line: str) -> Change:
    """A promise, where the sample's own are left out."""
    return "\nleads:\n", f"\nwanted:\n  - {line}\nleads:\n"


@cache
def text(sample: str, promised: bool) -> str:
    whole = (SAMPLES / f"{sample}.yaml").read_text(encoding="utf-8")
    return whole if promised else whole.partition("\nwanted:")[0] + "\n"


@cache
def said(sample: str, changes: tuple[Change, ...], promised: bool) -> tuple[Problem, ...]:
    """All that reading, graph, proof and joints say of a sample after the changes, each of which meets one place."""
    made = text(sample, promised)
    for old, new in changes:
        assert made.count(old) == 1, old
        made = made.replace(old, new)
    say = Diagnostics()
    KNOWN.say = say
    build = read_build(made.encode(), "hand.yaml", Sources(SAMPLES), KNOWN, say)
    assert build is not None, [p.text() for p in say.sorted()]
    assert not say.has_errors, [p.text() for p in say.sorted()]
    check_connections(build, say)
    prove(build, say)
    check_joints(build, say)
    return tuple(say.sorted())


def errors(problems: Sequence[Problem]) -> set[str]:
    return {p.code for p in problems if p.severity is ERROR}


CAPLESS = ("cap: capacitor-film, 22n, between tone.zero and tone.case", "cap: capacitor-film, 22n, between tone.ten "
           "and tone.case")
RING = "battery.minus -> output.ring               # a mono plug switches the battery on"

CASES = (
    Case("a state is silent that nobody asked for", "CIR-210", WARNING, LEFT,
         (gone("neck.finish -> selector.a 1                # bat toward the neck closes the lugs away from it"),),
         "silent in volume pushed, selector 1 and 1 more state",
         (gone("neck.finish -> selector.a 1                # bat toward the neck closes the lugs away from it"),
          wanted("{when: {selector: 1}, sounds: silent}"))),
    Case("a switch shorts hot to ground", "CIR-213", WARNING, LEVER, (more("lever.b 1 -> volume.case"),),
         "hot is shorted to ground in lever 1 and 1 more state",
         (more("lever.b 1 -> volume.case"), wanted("{when: {lever: 1}, sounds: silent}"),
          ("  - {when: {lever: 1}", "  - {when: {lever: 2}, sounds: silent}\n  - {when: {lever: 1}"))),
    Case("a knob shorts hot to ground", "CIR-241", WARNING, LOOSE, (more("tone.zero -> volume.case, bare"),),
         "tone at 0 shorts hot to ground", (CAPLESS,)),
    Case("nothing is heard in any state", "CIR-211", ERROR, LOOSE, (gone("pickup.finish -> volume.ten, white"),),
         "nothing is heard"),
    Case("a coil is never heard", "CIR-212", WARNING, LEVER,
         (("bridge.finish -> lever.a 1", "bridge.finish -> parked"),),
         "bridge is never heard", (("bridge.finish -> lever.a 1", "bridge.finish -> lever.b 1"),)),
    Case("a coil hangs on hot by one end", "CIR-242", WARNING, LEVER, (gone("bridge.start -> volume.case"),),
         "bridge hangs on hot by one end", (gone("bridge.finish -> lever.a 1"),)),
    Case("a coil end has no partner", "CIR-116", NOTE, LEVER, (gone("bridge.start -> volume.case"),), "bridge.start",
         (("bridge.start -> volume.case", "bridge.start -> parked"),)),
    Case("a part has no lead at all", "CIR-117", NOTE, LOOSE, (part("spare: pot-24, 250k log"),), "spare"),
    Case("the tip has no lead", "CIR-101", ERROR, LOOSE, (gone("volume.wiper -> output.tip, red"),), "output.tip",
         implied=frozenset({"CIR-211"})),
    Case("tip and sleeve are joined", "CIR-102", ERROR, LOOSE, (more("volume.wiper -> volume.case, bare"),), "muted",
         implied=frozenset({"CIR-211"})),
    Case("metal the hand touches is hot", "CIR-104", ERROR, ONE,
         (("strings.ground -> volume.case", "strings.ground -> volume.wiper"),), "of strings is hot"),
    Case("metal the hand touches is joined to nothing", "CIR-109", NOTE, LEFT, (), "the bat of selector",
         (("  wood above: 5\n", "  plate: {metal: yes, thickness: 2}\n"),)),
    Case("only a nut grounds metal", "CIR-105", NOTE, LEVER,
         (gone("lever.frame -> volume.case, black        # the nuts on the plate would do, until one works loose"),),
         "only nuts"),
    Case("metal is not on ground", "CIR-108", WARNING, TOP, (gone("selector.frame -> neck-volume.case, black"),),
         "of selector is not on ground"),
    Case("leads rely on a case nobody grounded", "CIR-107", WARNING, LOOSE,
         (gone("volume.case -> tone.case, bare"), ("tone.case -> output.sleeve", "volume.case -> output.sleeve")),
         "cap.other relies on the case of tone"),
    Case("a foil patch is never joined", "CIR-110", ERROR, BASS,
         (gone("foil-left.tab -> volume.case, black        # glue "
         "under an overlap joins nothing: each patch has its lead"),), "of foil-left is joined to no ground"),
    Case("the strings have no way to ground", "CIR-111", WARNING, ONE, (gone("strings.ground -> volume.case, bare"),),
         "strings"),
    Case("the strings reach ground through a network", "CIR-118", NOTE, ONE,
         (("strings.ground -> volume.case, bare", "strings.ground -> guard.one\n  - guard.other -> volume.case"),
          part("guard: resistor, 220k")), "reads about 220"),
    Case("a braid is joined to nothing", "CIR-113", WARNING, ONE,
         (("output.tip, red", "output.tip, red, shielded"),), "braid",
         (("output.tip, red", "output.tip, red, shielded, shield to output.sleeve"),)),
    Case("a braid is on the tip", "CIR-114", ERROR, ONE,
         (("output.tip, red", "output.tip, red, shielded, shield to output.tip"),), "hot"),
    Case("a braid is joined to what is no ground", "CIR-115", WARNING, ONE,
         (("output.tip, red", "output.tip, red, shielded, shield to spare.joint"),
          part("spare: splice")), "not to ground"),
    Case("both ends of a part are on one net", "CIR-119", WARNING, LOOSE,
         (("between tone.zero and tone.case", "between volume.case and tone.case"),), "cap"),
    Case("a braided pickup is reversed", "CIR-240", ERROR, TOP,
         (("neck.hot -> neck-volume.ten", "neck.hot -> neck-volume.case"),
          ("neck.braid -> neck-volume.case", "neck.braid -> neck-volume.ten")),
         "baseplate of neck carries signal in selector up and 1 more state"),
    Case("a cover is joined to a coil end", "CIR-240", ERROR, TOGGLE,
         (("neck.bare -> neck-volume.case", "neck.bare -> neck.a finish"),), "of neck carr",
         (("neck.bare -> neck-volume.case", "neck.bare -> neck.b start"),)),
    Case("two pickups are out of phase and nobody asked", "CIR-249", WARNING, LEVER,
         (("bridge.finish -> lever.a 1", "bridge.finish -> volume.case"), ("bridge.start -> volume.case",
                                                                           "bridge.start -> lever.a 1")),
         "middle and bridge sound out of phase in lever 2",
         (("bridge.finish -> lever.a 1", "bridge.finish -> volume.case"),
          ("bridge.start -> volume.case", "bridge.start -> lever.a 1"),
          wanted("{when: {lever: 2}, phase: out}"))),
    Case("the series link of a dual coil is reversed", "CIR-249", WARNING, TOGGLE,
         (("neck.a finish -> neck.b finish           # series link, two conductors in one sleeve",
           "neck.a finish -> neck.b start"), ("neck.b start -> neck-volume.case", "neck.b finish -> neck-volume.case")),
         "neck.a and neck.b sound out of phase in selector up"),
    Case("a wanted phase is not given", "CIR-302", ERROR, LEVER,
         (("5k9 anticlockwise north", "5k9 anticlockwise south"),), "phase out", promised=True),
    Case("hum-cancelling is lost", "CIR-303", ERROR, LEVER, (("5k9 anticlockwise north", "5k9 clockwise south"),),
         "wanted hum cancels", promised=True),
    Case("another connection than wanted", "CIR-301", ERROR, LEVER,
         (("middle.finish -> lever.a 2", "middle.finish -> lever.a 3"), ("neck.finish -> lever.a 3",
                                                                         "neck.finish -> lever.a 2")),
         "wanted middle, the wiring gives neck", implied=frozenset({"CIR-303"}), promised=True),
    Case("a promise cannot be proved", "CIR-304", WARNING, LEVER, (("5k9 anticlockwise north", "5k9"),),
         "cannot be proved", promised=True),
    Case("no state is like a promise", "CIR-305", ERROR, BARITONE,
         (wanted("{when: {neck-mode: series, neck-mode.slide-a: bridge}, sounds: silent}"),), "no state",
         (wanted("{when: {neck-mode: series, neck-mode.slide-a: neck}, phase: in}"),)),
    Case("a tone turns the wrong way", "CIR-243", WARNING, LOOSE, (CAPLESS,), "tone turns the wrong way"),
    Case("a volume has its log track backwards", "CIR-244", WARNING, LOOSE,
         (("volume: pot-24, 250k log", "volume: pot-24, 250k reverse log"),), "volume has its reverse log track",
         (("volume: pot-24, 250k log", "volume: pot-24, 250k linear"),)),
    Case("a tone has its log track backwards", "CIR-244", WARNING, LOOSE,
         (("tone: pot-24, 250k log", "tone: pot-24, 250k reverse log"),), "of treble, all the rest comes at the end",
         (("tone: pot-24, 250k log", "tone: pot-24, 250k linear"),)),
    Case("a trimmer does nothing", "CIR-245", WARNING, LOOSE,
         (part("set: trimmer, 500k"), more("set.ten -> volume.case\n  - set.wiper -> volume.case")),
         "turning set changes nothing",
         (part("set: trimmer, 500k"), more("set.ten -> volume.ten\n  - set.wiper -> volume.case"))),
    Case("a trimmer beside the bleed is not idle, for it is heard with the volume turned down", "CIR-245", WARNING,
         LOOSE,
         (part("set: trimmer, 500k"), more("set.ten -> volume.ten\n  - set.wiper -> volume.ten")),
         "turning set changes nothing",
         (part("set: trimmer, 500k"), more("set.ten -> volume.ten\n  - set.wiper -> volume.wiper"))),
    Case("a trimmer shorts hot to ground", "CIR-241", WARNING, LOOSE,
         (part("set: trimmer, 500k"), more("set.ten -> volume.wiper\n  - set.wiper -> volume.case")),
         "set at 10 shorts hot to ground",
         (part("set: trimmer, 500k\n  series: resistor, 47k"),
          more("set.ten -> volume.wiper\n  - set.wiper -> series.one\n  - series.other -> volume.case"))),
    Case("a blend does nothing", "CIR-245", WARNING, BASS,
         (("neck.finish -> blend.front wiper", "neck.finish -> blend.front zero"),
          ("bridge.finish -> blend.rear wiper", "bridge.finish -> blend.rear ten"),
          ("blend.front ten -> blend.case, black", "blend.front ten -> parked, black"),
          ("blend.rear zero -> blend.case, black", "blend.rear zero -> parked, black")),
         "turning blend changes nothing"),
    Case("a tone branch does nothing", "CIR-245", WARNING, LOOSE,
         (("volume.ten -> tone.wiper", "volume.case -> tone.wiper"),), "turning tone changes nothing"),
    Case("a volume mutes the other pickup", "CIR-246", NOTE, TOP, (), "neck-volume at 0 mutes",
         (("neck.hot -> neck-volume.ten", "neck.hot -> neck-volume.wiper"),
          ("neck-volume.wiper -> selector.up", "neck-volume.ten -> selector.up"),
          ("bridge.hot -> bridge-volume.ten", "bridge.hot -> bridge-volume.wiper"),
          ("bridge-volume.wiper -> selector.down", "bridge-volume.ten -> selector.down"))),
    Case("the battery is drained with the plug out", "CIR-220", ERROR, BASS,
         ((RING, "battery.minus -> tone.case"),), "drained with the plug out"),
    Case("a stereo plug leaves the board dead", "CIR-221", NOTE, BASS, (), "stereo plug leaves the battery off",
         ((RING, "battery.minus -> tone.case"),)),
    Case("the battery is never on", "CIR-222", ERROR, BASS, ((RING, "battery.minus -> parked"),), "never on",
         implied=frozenset({"CIR-211"})),
    Case("the battery is shorted", "CIR-224", ERROR, BASS,
         (("battery.plus -> preamp.plus", "battery.plus -> preamp.ground"), (RING, "battery.minus -> tone.case")),
         "shorted", implied=frozenset({"CIR-211"})),
    Case("a source shares the ring with the battery", "CIR-223", ERROR, BASS,
         (("neck.finish -> blend.front wiper", "neck.finish -> output.ring"),),
         "neck shares the ring of output with the battery", implied=frozenset({"CIR-220"})),
    Case("a source on the ring wants a stereo cable", "CIR-226", NOTE, BASS,
         (("neck.finish -> blend.front wiper", "neck.finish -> output.ring"), (RING, "battery.minus -> tone.case")),
         "neck: on the ring of output", implied=frozenset({"CIR-220"})),
    Case("a blend is silent at both ends", "CIR-230", ERROR, BASS,
         (("neck.finish -> blend.front wiper", "neck.finish -> blend.front zero"),
          ("bridge.finish -> blend.rear wiper", "bridge.finish -> blend.rear ten"),
          ("blend.front zero -> blend.rear ten, orange # the output of the blend",
           "blend.front wiper -> blend.rear wiper, orange"),
          ("blend.rear ten -> volume.ten, orange", "blend.rear wiper -> volume.ten, orange")), "silent at both ends"),
    Case("a blend has linear gangs", "CIR-231", ERROR, BASS,
         (("blend: pot-blend, 250k, in controls, at 32 22",
           "blend: {symbol: pot-blend, values: {front-law: linear, rear-law: linear}, in: controls, at: [32, 22]}"),),
         "linear gangs"),
    Case("a passive coil has a low load", "CIR-247", WARNING, LOOSE,
         (("volume: pot-24, 250k log", "volume: pot-24, 25k log"),), "less than 10 times"),
    Case("a transducer loses its bass", "CIR-248", WARNING, BARITONE, (("values: {input: 10M, output: 100}",
         "values: {input: 220k, output: 100}"),), "its bass falls off"),
    Case("one colour stands for two nets at a part", "CIR-250", WARNING, LOOSE,
         (("volume.wiper -> output.tip, red", "volume.wiper -> output.tip, yellow"),), "two yellow leads"),
    Case("a contact is used twice", "CIR-252", WARNING, LEFT,
         (more("volume.b common -> selector.a common\n  - volume.b near -> volume.ten"),), "volume: b common to b near",
         (more("volume.b common -> volume.a common\n  - volume.b near -> volume.a near"),)),
    Case("both throws of a pole are joined", "CIR-252", WARNING, LEFT,
         (more("volume.b common -> selector.a common\n  - volume.b near -> volume.b far"),), "volume: b common to b",
         (more("volume.a common -> volume.b common"),)),
    Case("a lead ends on a contact that meets nothing", "CIR-120", WARNING, LEFT,
         (more("neck.finish -> volume.b common"),), "a lead ends on volume.b common",
         (more("neck.finish -> volume.b common\n  - volume.b near -> volume.case"),)),
    Case("ground goes round in a ring", "CIR-251", NOTE, LOOSE, (more("volume.case -> output.sleeve, black"),), "ring"),
    Case("an eyelet has no room for its wires", "INP-329", WARNING, LOOSE,
         (part("one: splice\n  two: splice"), more("volume.ten -> one.joint\n  - volume.ten -> two.joint")),
         "volume.ten has room for 3"),
    Case("a case takes no more wires", "LEN-304", WARNING, LEVER,
         (part("one: splice\n  two: splice\n  three: splice"), more(
             "volume.case -> one.joint\n  - volume.case -> two.joint\n  - volume.case -> three.joint")),
         "can be worked on one spot of it"),
)


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.code} {c.what}")
def test_one_change_breaks_the_rule_and_no_other(case: Case) -> None:
    problems = said(case.sample, case.changes, case.promised)
    found = [p for p in problems if p.code == case.code]
    assert any(case.says in p.message for p in found), [p.text() for p in problems]
    assert {p.severity for p in found} == {case.severity}
    assert errors(problems) - {case.code} == case.implied, [p.text() for p in problems if p.severity is ERROR]


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.code} {c.what}")
def test_a_near_miss_does_not_break_the_rule(case: Case) -> None:
    problems = said(case.sample, case.near or (), case.promised)
    assert case.code not in {p.code for p in problems}, [p.text() for p in problems if p.code == case.code]
