"""Every faulty build says exactly what its expectation file says: place, sentence and remedy.

``DIAGRAMGEN_UPDATE_EXPECTED=1 pytest tests/reader/test_bad_builds.py`` writes the expectation files anew; read the
difference before it is kept.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.reader.reader import read_build

FOLDER = Path(__file__).resolve().parent.parent / "bad_builds"
BUILDS = sorted(FOLDER.glob("*.yaml"))
UPDATE = "DIAGRAMGEN_UPDATE_EXPECTED"


def said(data: bytes, file: str, folder: Path | None = None) -> str:
    """All problems of a build as printed."""
    say = Diagnostics()
    read_build(data, file, Sources(folder), shipped(), say)
    return "\n".join(p.text() for p in say.sorted()) + "\n"


@pytest.mark.parametrize("build", BUILDS, ids=lambda p: p.stem)
def test_the_build_says_exactly_what_is_expected(build: Path) -> None:
    expectation = build.with_suffix(".txt")
    found = said(build.read_bytes(), build.name, FOLDER)
    if os.environ.get(UPDATE):
        expectation.write_text(found, encoding="utf-8", newline="\n")
    assert found == expectation.read_text(encoding="utf-8")


def test_every_build_has_one_expectation_and_every_expectation_a_build() -> None:
    assert {p.stem for p in BUILDS} == {p.stem for p in FOLDER.glob("*.txt")}
    assert len(BUILDS) >= 40


def test_every_expectation_says_something() -> None:
    silent = [p.stem for p in FOLDER.glob("*.txt") if p.read_text(encoding="utf-8").strip() == ""]
    assert silent == []


def test_a_binary_file_is_refused_at_once() -> None:
    assert said(b"format: 1\0\x01\x02" * 50, "photo.jpg").startswith("photo.jpg: error INP-002: this is a binary file")


def test_a_file_of_50_megabytes_is_refused_without_being_parsed() -> None:
    found = said(b"a: b\n" * 10_000_000, "big.yaml")
    assert found.startswith("big.yaml: error INP-001: the file is 50.0 MB")
    assert found.count("error") == 1


def test_a_file_with_more_leads_than_any_instrument_has_is_refused() -> None:
    found = said(b"format: 1\nleads:\n" + b"  - a.b -> c.d\n" * 1501, "long.yaml")
    assert found.startswith("long.yaml:3:3: error INP-015: the file holds 1501 leads")
    assert found.count("error") == 1


def test_a_line_without_end_is_one_problem() -> None:
    found = said(b"format: 1\nleads:\n  - a.b -> c.d" + b"," * 500_000 + b"\n", "long.yaml")
    assert "INP-102: this line has 500010 characters" in found
    assert found.count("error") == 1


def test_nesting_without_end_is_refused() -> None:
    found = said(b"format: 1\ntitle: " + b"[" * 5000, "deep.yaml")
    assert "nested too deeply" in found


def test_an_outline_file_that_may_not_be_read_is_a_problem_at_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    outline = tmp_path / "outline.svg"
    outline.write_text("<svg/>")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    found = said(b"format: 1\ncavity: {shape: {svg: outline.svg, width: 92}}\n", "b.yaml", tmp_path)
    assert "b.yaml:2:18: error INP-023: the file 'outline.svg' cannot be read: permission denied" in found


def test_an_outline_file_above_the_limit_is_refused(tmp_path: Path) -> None:
    (tmp_path / "outline.svg").write_bytes(b" " * 2_000_001)
    found = said(b"format: 1\ncavity: {shape: {svg: outline.svg, width: 92}}\n", "b.yaml", tmp_path)
    assert "error INP-024: the file 'outline.svg' is larger than 2 MB" in found


def test_a_link_that_leads_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    (tmp_path / "secret.svg").write_text("<svg/>")
    (inside / "outline.svg").symlink_to(tmp_path / "secret.svg")
    found = said(b"format: 1\ncavity: {shape: {svg: outline.svg, width: 92}}\n", "b.yaml", inside)
    assert "error INP-021: 'outline.svg' lies outside the folder of the build file" in found
