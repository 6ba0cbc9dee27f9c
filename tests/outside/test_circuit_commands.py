"""The commands ``sounds`` and ``netlist`` as a shell sees them."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
SAMPLE = ROOT / "samples" / "two-pickups-toggle.yaml"
MANY = ROOT / "samples" / "baritone.yaml"


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "diagramgen", *words], cwd=ROOT, capture_output=True, text=True,
                          timeout=120, check=False)


def test_sounds_as_json_has_the_promised_fields() -> None:
    done = run("sounds", str(SAMPLE), "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert [s["state"] for s in found["states"]] == [{"selector": p} for p in ("up", "middle", "down")]
    first = found["states"][0]
    assert {"state", "sounding", "network", "phase", "hum", "hum_percent", "meter", "meter_ohms", "meter_low",
            "meter_high", "peak_hz", "peak_db"} <= set(first)
    assert {"coil", "sign", "level_db"} <= set(first["sounding"][0])
    assert first["network"] == "neck.a + neck.b"
    assert (first["phase"], first["hum"], first["meter"]) == ("in", "most", "value")
    assert first["meter_low"] < first["meter_ohms"] < first["meter_high"]
    assert found["load"] == {"cable_pf": 500.0, "amplifier_ohms": 1e6, "assumed": True}


def test_curves_come_on_request() -> None:
    found = json.loads(run("sounds", str(SAMPLE), "--json", "--response").stdout)
    curve = found["states"][0]["response"]
    assert len(curve["hz"]) == len(curve["db"]) > 40
    assert curve["hz"][0] == 80


def test_text_names_state_network_reading_and_what_was_assumed() -> None:
    done = run("sounds", str(SAMPLE))
    assert done.returncode == 0
    assert "selector middle" in done.stdout
    assert "(neck.a + neck.b) || (bridge.a + bridge.b); in phase; most hum goes; plug reads" in done.stdout
    assert "Assumed, because nobody gave them:" in done.stdout
    assert "place on the string is not counted" in done.stdout


def test_many_states_are_listed_by_network() -> None:
    done = run("sounds", str(MANY))
    assert "each network once" in done.stdout
    assert "no ohm test here" in done.stdout


def test_a_state_and_a_knob_can_be_held() -> None:
    found = json.loads(run("sounds", str(SAMPLE), "--json", "--state", "selector=up", "--knob", "neck-volume=0").stdout)
    assert [s["network"] for s in found["states"]] == ["silent"]
    assert found["states"][0]["meter_ohms"] == 0
    assert found["knobs"] == {"neck-volume.turn": 0.0}


def test_a_warmer_bench_reads_more() -> None:
    cold, warm = (json.loads(run("sounds", str(SAMPLE), "--json", "--temperature", t).stdout) for t in ("20", "30"))
    low, high = (x["states"][0]["meter_ohms"] for x in (cold, warm))
    # Copper: 3.93 % for 10 kelvin (IEC 60028), a little less with the pot beside it.
    assert 1.035 < high / low < 1.0393


@pytest.mark.parametrize(("words", "text"), [
    (("--state", "selecter=up"), "there is no switching control 'selecter'. Did you mean 'selector'?"),
    (("--state", "selector=centre"), "'selector' has no position 'centre'"),
    (("--state", "selector"), "'selector' is no position. Write it like selector=up."),
    (("--knob", "neck-tone=11"), "stands at 0 to 10"),
    (("--knob", "nek-tone=1"), "Did you mean 'neck-tone'?"),
])
@pytest.mark.parametrize("command", ["sounds", "netlist"])
def test_wrong_names_are_wrong_usage_with_the_nearest_name(command: str, words: tuple[str, ...], text: str) -> None:
    done = run(command, str(SAMPLE), *words)
    assert done.returncode == 2
    assert text in " ".join(done.stderr.split())


def test_a_build_with_errors_is_not_solved(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("format: 1\nparts:\n  output: jack-mono-open\nleads:\n  - output.tipp -> output.sleeve\n", "utf-8")
    for command in ("sounds", "netlist"):
        done = run(command, str(path))
        assert done.returncode == 1
        assert "Traceback" not in done.stderr
        assert "Did you mean 'tip'?" in done.stderr
    assert json.loads(run("sounds", str(path), "--json").stdout)["states"] == []


def test_a_netlist_names_its_state_and_its_nodes() -> None:
    done = run("netlist", str(SAMPLE), "--state", "selector=down", "--knob", "bridge-tone=0")
    assert done.returncode == 0
    assert "selector down" in done.stdout.splitlines()[0]
    assert "* knob bridge-tone.turn at 0" in done.stdout
    assert "* node 0: " in done.stdout
    assert "output.sleeve" in done.stdout
    assert done.stdout.rstrip().endswith(".end")


def test_the_same_build_gives_the_same_bytes() -> None:
    for words in (("sounds", str(MANY), "--json"), ("netlist", str(MANY))):
        assert run(*words).stdout == run(*words).stdout


@pytest.mark.parametrize("command", ["sounds", "netlist"])
def test_the_examples_of_the_help_run(command: str, tmp_path: Path) -> None:
    (tmp_path / "baritone.yaml").write_bytes(MANY.read_bytes())
    for name in ("groups", "pictures"):
        if (ROOT / "samples" / name).is_dir():
            shutil.copytree(ROOT / "samples" / name, tmp_path / name)
    help_text = run(command, "--help").stdout
    examples = re.findall(r"(?m)^ +diagramgen (.*)$", help_text.split("Examples:", 1)[1])
    assert examples
    for line in examples:
        done = subprocess.run([sys.executable, "-m", "diagramgen", *shlex.split(line.partition(">")[0])], cwd=tmp_path,
                              env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False)
        assert done.returncode == 0, (line, done.stderr)
