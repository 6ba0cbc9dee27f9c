"""Files a build rests on: read once, only from its folder, and counted in the checksum."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading import SHIPPED

from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.provenance import Sources
from diagramgen.reader.reader import read_build

PLACE = Location("b.yaml", 3, 4)
BUILD = b"""format: 1
cavity: {shape: {svg: cavity.svg, width: 92}}
parts: {v: pot-24}
leads:
  - v.zero -> v.case, bend
"""


def checksum(folder: Path, data: bytes = BUILD, name: str = "b.yaml") -> str:
    sources = Sources(folder)
    read_build(data, name, sources, SHIPPED, Diagnostics())
    return sources.checksum()


def drawn(folder: Path, width: int) -> None:
    shape = f'<rect width="{width}" height="30"/>'
    (folder / "cavity.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg">{shape}</svg>')


def test_every_file_and_symbol_is_recorded_with_its_digest(tmp_path: Path) -> None:
    drawn(tmp_path, 46)
    sources = Sources(tmp_path)
    read_build(BUILD, "b.yaml", sources, SHIPPED, Diagnostics())
    assert list(sources.files()) == ["build", "file:cavity.svg", "symbol:pot-24"]
    assert sources.files()["build"].size == len(BUILD)


def test_the_checksum_changes_with_the_build_and_with_every_file_it_names(tmp_path: Path) -> None:
    drawn(tmp_path, 46)
    first = checksum(tmp_path)
    assert checksum(tmp_path) == first
    assert checksum(tmp_path, name="renamed.yaml") == first
    assert checksum(tmp_path, BUILD + b"# a comment\n") != first
    drawn(tmp_path, 47)
    assert checksum(tmp_path) != first


@pytest.mark.parametrize("name", ["../x.svg", "/etc/passwd", "a/../../x.svg", "C:\\x.svg", "\\\\host\\x.svg", "a\0b"])
def test_nothing_outside_the_folder_is_read(tmp_path: Path, name: str) -> None:
    (tmp_path / "inside").mkdir()
    (tmp_path / "x.svg").write_text("<svg/>")
    say = Diagnostics()
    assert Sources(tmp_path / "inside").read(name, PLACE, say) is None
    assert [(p.code, p.place) for p in say] == [("INP-021", PLACE)]


def test_a_build_that_is_no_file_may_name_none() -> None:
    say = Diagnostics()
    assert Sources().read("x.svg", PLACE, say) is None
    assert [p.code for p in say] == ["INP-020"]


def test_a_loop_of_links_is_a_problem_and_no_crash(tmp_path: Path) -> None:
    (tmp_path / "a.svg").symlink_to(tmp_path / "b.svg")
    (tmp_path / "b.svg").symlink_to(tmp_path / "a.svg")
    say = Diagnostics()
    assert Sources(tmp_path).read("a.svg", PLACE, say) is None
    assert [p.code for p in say] in (["INP-021"], ["INP-022"])


def test_a_device_or_pipe_is_not_read(tmp_path: Path) -> None:
    import os

    os.mkfifo(tmp_path / "pipe.svg")
    say = Diagnostics()
    assert Sources(tmp_path).read("pipe.svg", PLACE, say) is None
    assert [p.code for p in say] == ["INP-022"]
