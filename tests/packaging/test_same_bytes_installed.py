"""The same bytes in any process: hash seed, clock, time zone, language, folder, installed or in the checkout."""

from __future__ import annotations

import ast
import hashlib
import shutil

import pytest
from installing import ROOT, run_python

pytest.importorskip("build", reason="missing: build")
pytest.importorskip("hatchling", reason="missing: hatchling")

PROGRAM = """
import os, sys, time
seed, ahead = sys.argv[1:3]
if ahead != "0":
    # Another clock: whatever reads it gets another day and hour.
    def moved(read):
        return lambda seconds=None: read(1e9 + float(ahead) if seconds is None else seconds)
    time.time = lambda: 1e9 + float(ahead)
    time.localtime, time.gmtime = moved(time.localtime), moved(time.gmtime)
from click.testing import CliRunner
from diagramgen.app.main import group
calls = [["print", "a.yaml", "--sheet", "packet", "--out", "o/packet", "--quiet"],
         ["page", "a.yaml", "--out", "o/page", "--quiet"],
         ["labels", "a.yaml", "--automatic-tags", "--code", "--out", "o/labels", "--quiet"],
         ["price", "a.yaml", "--prices", "lantern-lane.yaml", "--sheet", "quote", "--out", "o/price", "--quiet"],
         ["readings", "a.yaml", "--out", "o/readings.yaml"],
         ["shop", "jobs", "--sheet", "leads", "--workers", "1", "--out", "o/shop", "--quiet"]]
for call in calls:
    done = CliRunner().invoke(group, call, prog_name="diagramgen")
    print(call[0], done.exit_code)
    print(done.output)
    assert done.exit_code == 0, done.output
"""


def outputs(folder, path, ahead=0, **surroundings):
    """Everything six commands write and say, by name, as digests."""
    (folder / "jobs").mkdir(parents=True)
    for place in (folder / "a.yaml", folder / "jobs" / "b.yaml"):
        shutil.copy(ROOT / "tests" / "helpers" / "tiny.yaml", place)
    shutil.copy(ROOT / "samples" / "prices" / "lantern-lane.yaml", folder)
    done = run_python("-c", PROGRAM, "x", str(ahead), path=path, cwd=folder, **surroundings)
    assert done.returncode == 0, done.stderr
    made = {p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
            for p in sorted((folder / "o").rglob("*")) if p.is_file()}
    return made | {"said": done.stdout}


@pytest.fixture(scope="module")
def usual(tmp_path_factory):
    return outputs(tmp_path_factory.mktemp("usual"), ROOT, PYTHONHASHSEED="0", TZ="UTC", LC_ALL="C.UTF-8")


def test_everything_is_among_what_is_compared(usual):
    wanted = {"o/packet/packet.pdf", "o/packet/leads.csv", "o/packet/sheets.json", "o/page/page.html",
              "o/labels/labels.pdf", "o/price/quote.pdf", "o/readings.yaml", "o/shop/index.pdf", "o/shop/index.html",
              "o/shop/b/leads.json"}
    assert wanted <= usual.keys()
    assert len(usual) > 40


@pytest.mark.parametrize(("ahead", "surroundings"), [
    (0, {"PYTHONHASHSEED": "4242", "TZ": "Pacific/Auckland", "LC_ALL": "C"}),
    (987_654_321, {"PYTHONHASHSEED": "random", "TZ": "America/St_Johns", "LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR"}),
], ids=["hash seed, time zone, language", "clock 31 years ahead, Turkish"])
def test_outputs_do_not_change_with_the_surroundings(usual, ahead, surroundings, tmp_path):
    folder = tmp_path / "elsewhere with blanks, \u00c4\u00d6 \u65e5"
    assert outputs(folder, ROOT, ahead, **surroundings) == usual


def test_the_installed_wheel_writes_what_the_checkout_writes(usual, installed, tmp_path):
    assert outputs(tmp_path / "x", installed, PYTHONHASHSEED="7") == usual


def test_no_module_that_makes_a_sheet_reads_the_clock_or_throws_dice():
    preview = ROOT / "diagramgen" / "features" / "preview"  # watches files by the clock, and its page has a token
    limit = ROOT / "diagramgen" / "features" / "shop" / "workers.py"  # ends what takes too long, makes no sheet
    for path in sorted(p for p in (ROOT / "diagramgen").rglob("*.py") if preview not in p.parents and p != limit):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {n.module or "" for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)}
        names |= {a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names}
        assert not {"time", "datetime", "random", "secrets", "uuid"} & names, path
