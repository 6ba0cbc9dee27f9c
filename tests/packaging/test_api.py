"""What other programs may call: the page's example runs, its names are those there are, nothing heavy comes early."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import diagramgen

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "api.md").read_text(encoding="utf-8")
TINY = (ROOT / "tests" / "cli" / "tiny.yaml").read_bytes()


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
