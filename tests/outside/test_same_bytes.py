"""The same sheet gives the same bytes, whatever the process, hash seed, time zone, clock or language is."""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = """
import hashlib, sys
sys.path[:0] = [{root!r}, {helpers!r}]
from sheets_for_tests import full_sheet, measuring_sheet
from diagramgen.writers.pdf import pdf_bytes
from diagramgen.writers.svg import svg_bytes
if sys.argv[1] == "after-others":
    pdf_bytes([measuring_sheet()], "other"); svg_bytes(measuring_sheet()); svg_bytes(full_sheet(), "outline")
files = [svg_bytes(full_sheet()), svg_bytes(full_sheet(), "outline"),
         pdf_bytes([full_sheet(), measuring_sheet()], "Same", author="Zo\\u00eb")]
print(*[hashlib.sha256(f).hexdigest() for f in files])
"""
PROGRAM = PROGRAM.format(root=str(ROOT), helpers=str(ROOT / "tests" / "helpers"))


def hashes(argument="", **changes):
    environment = {**os.environ, **changes}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, argument], env=environment, capture_output=True, text=True, check=True
    )
    return done.stdout.split()


@pytest.fixture(scope="module")
def usual():
    return hashes(PYTHONHASHSEED="0", TZ="UTC")


@pytest.mark.parametrize(
    "changes",
    [
        {"PYTHONHASHSEED": "1"},
        {"PYTHONHASHSEED": "4242", "TZ": "Pacific/Auckland"},
        {"SOURCE_DATE_EPOCH": "1234567890"},
        {"LC_ALL": "C", "LANG": "C"},
        {"TZ": "America/St_Johns", "PYTHONHASHSEED": "random"},
    ],
    ids="+".join,
)
def test_bytes_do_not_change_with_the_surroundings(usual, changes):
    assert len(usual) == 3
    assert hashes(**changes) == usual


def test_bytes_do_not_change_after_other_drawings_in_the_same_process(usual):
    assert hashes("after-others") == usual


def _one_page(sheet):
    from diagramgen.writers.pdf import pdf_bytes

    return pdf_bytes([sheet], "t")


def test_bytes_do_change_with_the_drawing():
    sys.path.insert(0, str(ROOT / "tests" / "helpers"))
    from dataclasses import replace

    from sheets_for_tests import full_sheet

    from diagramgen.writers.svg import svg_bytes

    other = replace(full_sheet(), title="Another")
    for write in (svg_bytes, _one_page):
        first, again, changed = write(full_sheet()), write(full_sheet()), write(other)
        assert hashlib.sha256(first).digest() == hashlib.sha256(again).digest()
        assert first != changed
