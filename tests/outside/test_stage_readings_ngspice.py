"""ngspice on the circuit as far as it is made at each stop of the work."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.circuit.dc_readings import MeterConditions
from diagramgen.features.netlist.spice import netlist
from diagramgen.job import stage_checks as stagechecks
from diagramgen.job.order import order_of
from diagramgen.library import catalogue
from diagramgen.model.build import UNKNOWN, Build, End, Part

NGSPICE = shutil.which("ngspice")
SAMPLES = Path(__file__).resolve().parents[2] / "samples"
pytestmark = pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed (apt-get install ngspice)")


def partial(build: Build, made: frozenset[str], one: str, other: str) -> Build:
    """The build with only these joints, and a jack of its own as the meter's two probes."""
    place = next(iter(build.parts.values())).place
    none = End(UNKNOWN, "", place)
    jack = catalogue.shipped()["jack-mono-open"]
    parts = {"meter": Part("meter", jack, "meter", "", "", None, 0.0, {}, {}, {}, None, "", None, None, None, "",
                           place)}
    for part in build.parts.values():
        legs = part.between
        if legs is not None:
            a, b = (end if {part.name, f"{part.name} leg {n}"} & made else none for n, end in enumerate(legs, start=1))
            part = replace(part, between=(a, b))
        parts[part.name] = part
    leads = [lead for lead in build.leads if lead.tag in made]
    probes = [replace(build.leads[0], tag=f"probe {lug}", start=End("meter", lug, place),
                      end=End(*key.split(".", 1), place), kind="wire", shield_to=(), cable="")
              for lug, key in (("tip", one), ("sleeve", other))]
    cables = {n: c for n, c in build.cables.items() if any(lead.cable == n for lead in leads)}
    return replace(build, parts=parts, leads=(*probes, *leads), cables=cables)


def metered(build: Build, state: dict[str, str], folder: Path) -> float:
    state = {**state, "meter": "mono"}
    bare = netlist(build, state, {}, "").splitlines()
    if not any(line.startswith("r_amplifier_tip") for line in bare):
        return 0.0  # both probes are on one node: the amplifier, and the meter, lie across nothing
    losses = [line.split()[0] for line in bare if line.startswith("r_") and "_loss " in line]
    # The build has a jack of its own, into which an amplifier is taken to be plugged as well: it lies open here.
    losses += [line.split()[0] for line in bare if line.startswith("r_amplifier_")]
    lines = [".control", "set wr_singlescale", "set numdgt = 16", *(f"alter @{n}[resistance] = 1e16" for n in losses),
             "alter @i_meter[dc] = 1", "op", "wrdata ohms.txt v(tip)",
             ".endc"]
    (folder / "deck.cir").write_text(netlist(build, state, {}, "\n".join(lines)), encoding="ascii")
    done = subprocess.run([str(NGSPICE), "-b", "deck.cir"], cwd=folder, capture_output=True, text=True, check=False)
    assert "Error" not in done.stderr, done.stderr
    return float((folder / "ohms.txt").read_text().split()[-1])


@pytest.mark.parametrize("name", ["one-volume", "two-pickups-toggle", "three-singles-lever", "baritone", "left-handed",
                                  "holes-in-top", "no-cavity", "bass-active"])
def test_readings_at_every_stop_agree_with_ngspice_on_the_partial_circuit(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stagechecks, "read", lambda *a: real(*a, MeterConditions(20, 0)))
    proof = proof_of(name)
    assert proof.build is not None
    assert proof.layout is not None
    compared = 0
    for check in stagechecks.stage_checks(proof.build, order_of(proof.layout)):
        for row in check.readings:
            if row.reading.kind == "not meaningful":
                continue
            ohms = metered(partial(proof.build, check.made, row.one, row.other), check.state, tmp_path)
            if row.reading.kind == "open":
                assert ohms > 1e10, (check.group, row)
            elif row.reading.ohms == 0:
                # Contacts and leads of the netlist are a few milliohms.
                assert ohms < 0.5, (check.group, row)
            else:
                assert ohms == pytest.approx(row.reading.ohms, rel=1e-5), (check.group, row)
                compared += 1
    assert compared


real = stagechecks.read
