"""What is built and installed: archives, a wheel in a folder of its own, an editable install, a quick ``--help``."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest
from installing import ROOT, pip_install, plain, run_python

pytest.importorskip("build", reason="missing: build")
pytest.importorskip("hatchling", reason="missing: hatchling")
pytest.importorskip("editables", reason="missing: editables")

HEAVY = ("numpy", "reportlab", "shapely", "fontTools", "svgwrite", "cairosvg", "yaml", "PIL", "jinja2")


def shipped(pattern):
    return {str(p.relative_to(ROOT)) for p in ROOT.glob(pattern) if p.is_file() and "__pycache__" not in p.parts}


def test_the_wheel_holds_symbols_samples_groups_faces_and_licences(archives):
    names = set(zipfile.ZipFile(archives[0]).namelist())
    for pattern in ("symbols/*.yaml", "samples/*.yaml", "samples/groups/*.yaml", "samples/*.json"):
        wanted = {f"diagramgen/{name}" for name in shipped(pattern)}
        assert wanted
        assert wanted <= names, pattern
    assert shipped("diagramgen/**/*.py") <= names
    assert "diagramgen/docs/problem-examples.txt" in names
    pages = {*shipped("diagramgen/**/*.j2"), *shipped("diagramgen/**/*.css"), *shipped("diagramgen/**/*.js")}
    assert {"diagramgen/features/playerpage/page.html.j2", "diagramgen/features/preview/preview.js",
            "diagramgen/features/shop/index.css", "diagramgen/writers/page.css"} <= pages <= names
    assert {n for n in names if n.endswith(".ttf")} == shipped("diagramgen/fonts/*.ttf")
    licences = {Path(n).name for n in names if ".dist-info/licenses/" in n}
    assert {"LICENSE", "NOTICE", "LICENSE-fonts.txt"} <= licences


def test_the_wheel_holds_no_tests_pictures_or_rubbish(archives):
    names = zipfile.ZipFile(archives[0]).namelist()
    assert {n.split("/")[0] for n in names if not n.split("/")[0].endswith(".dist-info")} == {"diagramgen"}
    assert [n for n in names if n.endswith((".pyc", ".png", ".pdf", ".svg"))] == []
    assert sum(i.file_size for i in zipfile.ZipFile(archives[0]).infolist()) < 4_000_000


def test_the_sdist_holds_what_builds_tests_and_explains_it(archives):
    with tarfile.open(archives[1]) as tar:
        names = {name.partition("/")[2] for name in tar.getnames()}
    assert {"pyproject.toml", "README.md", "DEVELOPERS.md", "CONTRIBUTING.md", "CHANGELOG.md"} <= names
    assert {"LICENSE", "NOTICE"} <= names
    assert {"symbols/pot-24.yaml", "samples/one-volume.yaml", "tests/conftest.py", "benchmarks/README.md"} <= names
    assert not any(name.startswith((".ci", ".git/", "docs/gallery", ".venv")) for name in names)


def test_the_installed_tool_prints_a_sample_it_brought_along_from_another_folder(installed, tmp_path):
    tool = ("-m", "diagramgen")
    begun = run_python(*tool, "start", "no-cavity", "--out", "my.yaml", path=installed, cwd=tmp_path)
    assert begun.returncode == 0, begun.stderr
    done = run_python(*tool, "print", "my.yaml", path=installed, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert {"diagram.svg", "diagram.pdf", "leads.csv"} <= {p.name for p in (tmp_path / "my").iterdir()}
    where = run_python("-c", "import diagramgen; print(diagramgen.__file__)", path=installed, cwd=tmp_path)
    assert Path(where.stdout.strip()).is_relative_to(installed)


def test_the_installed_tool_lists_every_symbol_of_the_checkout(installed, tmp_path):
    said = run_python("-m", "diagramgen", "symbols", path=installed, cwd=tmp_path).stdout
    listed = {line.split()[0] for line in said.splitlines() if line.startswith("  ")}
    assert listed == {p.stem for p in (ROOT / "symbols").glob("*.yaml")}


def test_the_command_is_put_on_the_path(installed, tmp_path):
    script = next((installed / "bin").glob("diagramgen*"))
    done = subprocess.run([sys.executable, str(script), "--version"], cwd=tmp_path, capture_output=True, text=True,
                          env={**plain(), "PYTHONPATH": str(installed)}, check=True)  # fmt: skip
    assert done.stdout.startswith("diagramgen, version ")


def test_an_editable_install_finds_symbols_and_samples_of_the_checkout(tmp_path_factory, tmp_path):
    target = pip_install(tmp_path_factory.mktemp("editable"), "--editable", str(ROOT))
    # A folder on PYTHONPATH reads no .pth file; as a site folder it does, as an environment's own would be.
    begin = f"import site; site.addsitedir({str(target)!r}); "
    where = "from diagramgen.kernel import resources; print(*(resources.folder(n) for n in ('symbols', 'samples')))"
    assert run_python("-c", begin + where, path="", cwd=tmp_path).stdout.split() == [
        str(ROOT / "symbols"), str(ROOT / "samples")]  # fmt: skip
    command = "import sys; sys.argv[1:] = ['start', 'one-volume']; from diagramgen.app.main import main; main()"
    done = run_python("-c", begin + command, path="", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout == (ROOT / "samples" / "one-volume.yaml").read_text(encoding="utf-8")


def test_help_and_version_import_no_heavy_library(tmp_path):
    for argument in ("--help", "--version"):
        code = (
            f"import sys; sys.argv[1:] = [{argument!r}]\nfrom diagramgen.app.main import main\n"
            f"try: main()\nexcept SystemExit: pass\n"
            f"print([m for m in {HEAVY!r} if m in sys.modules], file=sys.stderr)"
        )
        assert run_python("-c", code, path=ROOT, cwd=tmp_path).stderr == "[]\n"


@pytest.mark.parametrize("command", ["print", "check", "start", "symbols", "schema", "preview", "page", "shop"])
def test_help_of_a_command_imports_no_heavy_library_either(command, tmp_path):
    code = (
        f"import sys; sys.argv[1:] = [{command!r}, '--help']\nfrom diagramgen.app.main import main\n"
        f"try: main()\nexcept SystemExit: pass\n"
        f"print([m for m in {HEAVY!r} if m in sys.modules], file=sys.stderr)"
    )
    assert run_python("-c", code, path=ROOT, cwd=tmp_path).stderr == "[]\n"


@pytest.mark.parametrize(("arguments", "wanted"), [
    (["print", "one-volume.yaml", "--sheet", "leads", "--quiet"], []),
    (["page", "one-volume.yaml", "--quiet"], ["jinja2"]),
])
def test_the_template_library_is_imported_by_what_writes_a_page_alone(arguments, wanted, tmp_path):
    (tmp_path / "one-volume.yaml").write_bytes((ROOT / "samples" / "one-volume.yaml").read_bytes())
    code = (
        f"import sys; sys.argv[1:] = {arguments!r}\nfrom diagramgen.app.main import main\n"
        f"try: main()\nexcept SystemExit: pass\n"
        f"print([m for m in ('jinja2',) if m in sys.modules], file=sys.stderr)"
    )
    done = run_python("-c", code, path=ROOT, cwd=tmp_path)
    assert done.stderr.splitlines()[-1:] == [str(wanted)], done.stderr
