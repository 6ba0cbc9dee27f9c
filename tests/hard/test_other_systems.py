"""Windows and macOS by simulation: line ends, encodings, letters of either size, reserved names, strokes in paths."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from sampled import proof_of

import diagramgen
from diagramgen.analysis import examine
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.errors import CannotWrite
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped_files
from diagramgen.sheets.printing import compose
from diagramgen.sheets.registry import packet_sheets
from diagramgen.sheets.sheet_kind import Request
from diagramgen.writers import atomic_files as writing
from diagramgen.writers.atomic_files import write_all

ROOT = Path(__file__).resolve().parents[2]
TINY = (ROOT / "tests" / "helpers" / "tiny.yaml").read_bytes()


def shown(data: bytes) -> list[tuple[str, int, int, str]]:
    proof = diagramgen.solve("a.yaml", data=data)
    return [(p.code, p.place.line, p.place.column, p.message) for p in proof.problems]


@pytest.mark.parametrize("name", ["wrong-on-purpose", "two-pickups-toggle-found", "one-volume"])
@pytest.mark.parametrize("end", [b"\r\n", b"\r"])
def test_line_ends_of_other_systems_and_a_byte_order_mark_change_nothing(name: str, end: bytes) -> None:
    data = (ROOT / "samples" / f"{name}.yaml").read_bytes()
    assert shown(b"\xef\xbb\xbf" + data.replace(b"\n", end)) == shown(data)


def test_sheets_of_a_file_with_other_line_ends_differ_only_in_the_file_check() -> None:
    proofs = [diagramgen.solve("a.yaml", data=data) for data in (TINY, TINY.replace(b"\n", b"\r\n"))]
    one, other = (
        {name: data.replace(proof.checksum.encode(), b"########")
         for name, data in diagramgen.print_sheets(proof, ["leads"]).items() if not name.endswith(".pdf")}
        for proof in proofs)
    assert proofs[0].checksum != proofs[1].checksum
    assert one == other


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii"])
@pytest.mark.parametrize("call", [["--help"], ["meaning", "CIR-104"], ["check", "build \u65e5 \u00c4.yaml"],
                                  ["sounds", "build \u65e5 \u00c4.yaml"], ["price", "build \u65e5 \u00c4.yaml"]])
def test_an_output_of_another_encoding_takes_all_that_is_said(encoding: str, call: list[str], tmp_path: Path) -> None:
    import subprocess
    import sys

    text = TINY.decode() + "note: 500 k\u03a9, \u0416, a dash \u2013\n"
    (tmp_path / "build \u65e5 \u00c4.yaml").write_text(text, encoding="utf-8")
    done = subprocess.run([sys.executable, "-m", "diagramgen", *call], cwd=tmp_path, capture_output=True, check=False,
                          env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding})
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    assert b"\r\n" not in done.stdout
    assert done.stdout.decode("utf-8").strip()


def test_a_folder_with_blanks_and_letters_of_all_scripts_takes_and_gives_files(tmp_path: Path) -> None:
    folder = tmp_path / "Werk statt \u00c4\u00df \u0416 \u65e5\u672c 100 % 'n' & so"
    folder.mkdir()
    (folder / "o u t.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H90V60H0Z"/></svg>',
                                      encoding="utf-8")
    text = TINY.decode() + "cavity:\n  shape: {svg: 'o u t.svg', width: 90}\n"
    path = folder / "b\u00fc ild.yaml"
    path.write_text(text, encoding="utf-8")
    proof = examine(path)
    assert not proof.has_errors, [p.text() for p in proof.problems]
    written = diagramgen.write(folder / "s h \u00e9", compose(proof, Request(sheets=("leads",))), proof)
    assert {p.name for p in written} == {"leads.csv", "leads.json", "leads.pdf"}


@pytest.mark.parametrize(("name", "says"), [
    ("cavity.svg", "There is 'Cavity.SVG': capital and small letters count"),
    ("sub\\\\x.svg".replace("\\\\", "\\"), "sub/x.svg"), ("gone.svg", "counts from the folder"),
])
def test_a_name_that_works_on_another_system_only_says_how_to_write_it(tmp_path: Path, name: str, says: str) -> None:
    (tmp_path / "Cavity.SVG").write_text("x", encoding="utf-8")
    say = Diagnostics()
    assert Sources(tmp_path).read(name, Location("b.yaml", 1, 1), say) is None
    (problem,) = say
    assert problem.code == "INP-022"
    assert says in problem.remedy


def every_name() -> set[str]:
    """What is written by print with all sheets of a build, as far as a small one has them, and the cards of symbols."""
    proof = proof_of("one-volume")
    return {*compose(proof, Request(sheets=packet_sheets())), *(f"{name}-card.svg" for name in shipped_files())}


def test_no_name_of_ours_is_reserved_or_another_in_the_other_size_of_letters() -> None:
    names = every_name()
    assert len(names) > 60
    assert len({name.casefold() for name in names}) == len(names)
    for name in names:
        assert not writing._is_device(name), name
        assert not set(name) & set('<>:"|?*\\/ '), name
        assert name == name.strip(". "), name


@pytest.mark.parametrize("name", ["CON.yaml", "con", "nul.svg", "Com1.pdf", "aux .csv", "lpt9.tar.gz", "a/prn.svg"])
def test_a_device_of_windows_is_refused_there_and_no_name_elsewhere(tmp_path: Path, monkeypatch, name: str) -> None:
    write_all(tmp_path, {name: b"1"})
    assert (tmp_path / name).read_bytes() == b"1"

    class Elsewhere:
        name = "nt"

        def __getattr__(self, what: str) -> object:
            return getattr(os, what)

    monkeypatch.setattr(writing, "os", Elsewhere())
    with pytest.raises(CannotWrite, match="Windows keeps this name for a device"):
        write_all(tmp_path, {name: b"2"})
    write_all(tmp_path, {"console.yaml": b"3", "com10": b"4"})


def test_two_names_that_are_one_on_other_systems_are_not_written(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match=r"would replace 'A\.svg'"):
        write_all(tmp_path, {"a.svg": b"1", "A.svg": b"2"})
    assert list(tmp_path.iterdir()) == []


def test_lists_for_spreadsheets_have_the_line_ends_their_format_asks_for() -> None:
    """RFC 4180 ends lines with CR LF; JSON and SVG have LF alone on every system."""
    made = diagramgen.print_sheets(diagramgen.solve("a.yaml", data=TINY), ["leads", "diagram"])
    assert made["leads.csv"].count(b"\r\n") == made["leads.csv"].count(b"\n") > 2
    for name in ("leads.json", "diagram.svg"):
        assert b"\r" not in made[name]
    assert json.loads(made["leads.json"])
