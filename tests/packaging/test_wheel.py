"""The wheel says what it is and needs no compiler; without the cairo library only PNG pictures are missing."""

from __future__ import annotations

import zipfile
from email.parser import Parser

import pytest
from installing import ROOT, run_python

pytest.importorskip("build", reason="missing: build")
pytest.importorskip("hatchling", reason="missing: hatchling")

BLOCKED = """
import sys
class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("cairosvg", "cairocffi"):
            raise {error}
sys.meta_path.insert(0, Blocked())
sys.argv[1:] = {arguments!r}
from diagramgen.app.main import main
main()
"""


def test_the_wheel_is_of_no_machine_and_carries_all_it_reads(archives):
    wheel = archives[0]
    assert wheel.name.endswith("-py3-none-any.whl")
    names = set(zipfile.ZipFile(wheel).namelist())
    assert {"diagramgen/py.typed", "diagramgen/docs/problem-examples.txt",
            "diagramgen/samples/build.schema.json"} <= names
    for folder in ("labelsheets", "fonts", "features/playerpage", "features/preview", "features/shop", "writers"):
        wanted = {p.relative_to(ROOT).as_posix() for p in (ROOT / "diagramgen" / folder).rglob("*")
                  if p.is_file() and p.suffix not in (".pyc", ".py")}
        assert wanted, folder
        assert wanted <= names, folder


def test_the_wheel_says_on_which_pythons_it_runs_and_that_it_is_typed(archives):
    files = zipfile.ZipFile(archives[0])
    (name,) = (n for n in files.namelist() if n.endswith(".dist-info/METADATA"))
    said = Parser().parsestr(files.read(name).decode("utf-8"))
    assert said["Requires-Python"] == ">=3.11"
    classifiers = said.get_all("Classifier", [])
    assert {f"Programming Language :: Python :: 3.{n}" for n in (11, 12, 13)} <= set(classifiers)
    assert "Typing :: Typed" in classifiers
    assert not any("cairo" in one for one in said.get_all("Requires-Dist", []) if "extra ==" not in one)


@pytest.mark.parametrize("error", ["ImportError(name)", "OSError('no library called \"cairo-2\" was found')"])
def test_without_cairo_all_but_png_is_printed_and_png_says_what_it_needs(error, installed, tmp_path):
    (tmp_path / "a.yaml").write_bytes((ROOT / "tests" / "helpers" / "tiny.yaml").read_bytes())
    done = run_python("-c", BLOCKED.format(error=error, arguments=["print", "a.yaml", "--sheet", "leads"]),
                      path=installed, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "a" / "leads.pdf").is_file()
    done = run_python("-c", BLOCKED.format(error=error, arguments=["print", "a.yaml", "--png", "--out", "o"]),
                      path=installed, cwd=tmp_path)
    assert done.returncode == 2
    assert "libcairo2" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "o").exists()
