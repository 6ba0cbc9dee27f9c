"""What other programs may call: the page's example runs, its names are those there are, nothing heavy comes early."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import diagramgen
from diagramgen.sheets.registry import kinds

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "api.md").read_text(encoding="utf-8")
TINY = (ROOT / "tests" / "helpers" / "tiny.yaml").read_bytes()


def test_the_example_of_the_page_runs_and_writes_the_sheets(tmp_path, monkeypatch, capsys):
    (example,) = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)
    (tmp_path / "one-volume.yaml").write_bytes((ROOT / "samples" / "one-volume.yaml").read_bytes())
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    exec(compile(example, "api.md", "exec"), names)
    said = capsys.readouterr().out
    assert said.startswith("{} pickup full 60")
    assert (tmp_path / "sheets" / "diagram.pdf").read_bytes() == names["pdf"]
    assert (tmp_path / "sheets" / "leads.csv").is_file()
    assert (tmp_path / "sheets" / "sheets.json").is_file()


def test_the_table_of_the_page_names_every_function_there_is():
    functions = {name for name in diagramgen.__all__ if callable(getattr(diagramgen, name)) and name[0].islower()}
    assert functions == set(re.findall(r"(?m)^\| `(\w+)\(", PAGE))
    for name in diagramgen.__all__:
        assert name == "__version__" or name in PAGE, name
        assert name in dir(diagramgen.api) or name == "__version__"


def test_reading_solving_and_printing_from_bytes_touches_no_file(tmp_path):
    path = tmp_path / "a.yaml"
    assert diagramgen.read(path, data=TINY).build is not None
    proof = diagramgen.solve(str(path), data=TINY)
    (state,) = diagramgen.states(proof)
    assert (state.sounds, state.phase, state.hum) == ("pickup", "single", "full")
    files = diagramgen.print_sheets(proof, ["leads"])
    assert files["leads.pdf"].startswith(b"%PDF-")
    assert files == diagramgen.print_sheets(diagramgen.solve(path, data=TINY), ["leads"])
    assert list(tmp_path.iterdir()) == []


def test_a_build_with_errors_has_no_sheets_unless_they_are_wanted_anyway(tmp_path):
    proof = diagramgen.solve(tmp_path / "a.yaml", data=TINY.replace(b"pickup.finish ", b"pickup.finsh "))
    with pytest.raises(diagramgen.NotProved, match="finsh") as caught:
        diagramgen.print_sheets(proof)
    assert 7 in [p.place.line for p in caught.value.problems]
    assert diagramgen.states(proof) == ()
    assert b"NOT PROVED" in diagramgen.print_sheets(proof, ["diagram"], anyway=True)["diagram.svg"]
    with pytest.raises(diagramgen.NotProved):
        diagramgen.print_sheets(diagramgen.solve(tmp_path / "gone.yaml"))


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'prnt_sheets'"):
        diagramgen.prnt_sheets  # noqa: B018


def test_importing_the_package_loads_nothing_heavy():
    code = "import sys, diagramgen; print([m for m in ('numpy', 'yaml', 'shapely', 'reportlab') if m in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True,
                          env={"PYTHONPATH": str(ROOT)}).stdout == "[]\n"  # fmt: skip


def test_a_kind_or_a_paper_there_is_none_of_is_refused_with_the_nearest(tmp_path):
    proof = diagramgen.solve(tmp_path / "a.yaml", data=TINY)
    with pytest.raises(diagramgen.UnknownName, match=r"'leeds'.*leads"):
        diagramgen.print_sheets(proof, ["leeds"])
    with pytest.raises(ValueError, match="no paper 'b4'"):
        diagramgen.print_sheets(proof, "leads", paper="b4")
    with pytest.raises(ValueError, match=r"no sheet 'undo'.*not known"):
        diagramgen.print_sheets(proof, "undo")
    assert set(diagramgen.print_sheets(proof, "leads")) == set(diagramgen.print_sheets(proof, ["leads"]))
    assert diagramgen.print_sheets(proof, "leads", paper="A4") == diagramgen.print_sheets(proof, "leads", paper="a4")


@pytest.mark.parametrize("kind", diagramgen.KINDS)
def test_every_kind_gives_sheets_or_says_why_there_are_none(kind, tmp_path):
    proof = diagramgen.solve(tmp_path / "a.yaml", data=TINY)
    why = kinds()[kind].unavailable(proof)
    if not why:
        assert diagramgen.print_sheets(proof, kind)
        return
    with pytest.raises(ValueError, match=f"no sheet '{kind}': ") as caught:
        diagramgen.print_sheets(proof, kind)
    assert why in str(caught.value)


def test_the_text_of_a_build_is_as_good_as_its_bytes(tmp_path):
    for call in (diagramgen.read, diagramgen.solve):
        one, other = call(tmp_path / "a.yaml", data=TINY), call(tmp_path / "a.yaml", data=TINY.decode())
        assert one.checksum == other.checksum
        assert one.problems == other.problems


def test_an_analysis_shows_itself_in_one_line(tmp_path):
    assert repr(diagramgen.solve(tmp_path / "a.yaml", data=TINY)) == "<Analysis a: 0 errors, 0 warnings, 1 states>"
    assert repr(diagramgen.read(tmp_path / "a.yaml", data=TINY)) == "<Analysis a: 0 errors, 0 warnings, not solved>"
    assert repr(diagramgen.solve(tmp_path / "gone.yaml")) == "<Analysis not read: 1 errors, 0 warnings, not solved>"


def test_the_tab_key_finds_what_may_be_called():
    assert set(diagramgen.__all__) <= set(dir(diagramgen))
