"""Figures of others name their work, libraries their licence, data files their origin: NOTICE has them all."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

from diagramgen.library.catalogue import shipped

ROOT = Path(__file__).resolve().parents[2]
NOTICE = (ROOT / "NOTICE").read_text(encoding="utf-8")
FOLDERS = ("benchmarks", "diagramgen", "docs", "samples", "symbols", "tests", "tools")
DATA = {".bin", ".css", ".csv", ".js", ".json", ".png", ".svg", ".toml", ".ttf", ".txt", ".typed", ".yaml"}
TEXTS = {".css", ".csv", ".js", ".md", ".py", ".toml", ".txt", ".yaml"}
ADMITTED = ("from memory", "no source", "drawing only", "unknown until")
VAGUE = ("open article", "hobby article", "an article", "a handbook", "published example", "published measurement",
         "open wiki", "open footprint library", "public example", "common knowledge", "from the web", "datasheet",
         "data sheet", "maker's catalogue pairs", "(published", "open data set", "reference pages)")

ELSEWHERE = ("facts labels", "facts.toml", "measured.toml", "parts.toml", "design.md", "bench practice",
             "engineering notes")


def section(title: str) -> str:
    return NOTICE.partition(f"\n{title}\n")[2].partition("\n\n")[0]


def entries(title: str) -> dict[str, str]:
    """Name before the colon -> what is said of it, for each line that begins with a hyphen."""
    text = re.sub(r"\n  (?! *-)", " ", section(title))
    return dict(re.findall(r"^- (.+?): (.+)$", text, re.MULTILINE))


WORKS = entries("Works from which figures were taken")
ORIGINS = entries("Where the data files come from")


@cache
def paths() -> tuple[Path, ...]:
    def found(folder: Path) -> Iterator[Path]:
        for path in sorted(folder.iterdir()):
            if path.is_dir():
                if not path.name.startswith((".", "__")):
                    yield from found(path)
            elif not path.is_symlink():
                yield path

    return tuple(path for name in FOLDERS for path in found(ROOT / name))


@cache
def texts() -> dict[str, str]:
    """Every text file that is not this test, by its name, on one line."""
    tops = (ROOT / name for name in ("CHANGELOG.md", "DEVELOPERS.md", "README.md", "pyproject.toml"))
    here = Path(__file__).resolve()
    return {path.relative_to(ROOT).as_posix(): " ".join(path.read_text(encoding="utf-8", errors="replace").split())
            for path in (*paths(), *tops) if path.suffix in TEXTS and path != here}


@pytest.mark.parametrize("name", sorted(shipped()))
def test_each_figure_of_a_symbol_names_a_work_listed_in_notice_or_admits_that_it_has_none(name: str) -> None:
    symbol = shipped()[name]
    for entry in (*symbol.dimensions.values(), *symbol.values.values()):
        named = [work for work in WORKS if work.lower() in entry.source.lower()]
        assert named or any(words in entry.source for words in ADMITTED), (entry.name, entry.source)


def test_a_work_is_listed_with_its_issue_and_licence() -> None:
    assert len(WORKS) > 20
    licence = re.compile(r"; (licences? not told|CC0 1\.0|CC BY|CC-BY-SA 4\.0|Design Science License|public domain)")
    assert [work for work, said in WORKS.items() if not licence.search(said)] == []


@pytest.mark.parametrize("work", sorted(WORKS))
def test_a_work_listed_is_named_where_its_figures_are_used(work: str) -> None:
    assert any(work.lower() in text.lower() for text in texts().values())


@pytest.mark.parametrize("words", VAGUE)
def test_no_source_is_named_so_that_nobody_finds_it(words: str) -> None:
    assert [name for name, text in texts().items() if words in text.lower()] == []


def test_a_page_names_a_work_as_notice_does_and_leaves_what_is_known_of_it_to_notice() -> None:
    pages = {path.name: path.read_text(encoding="utf-8") for path in (ROOT / "docs").glob("*.md")}
    told_twice = re.compile(r"licences?\s+not\s+told|titles?\s+not\s+noted")
    assert [name for name, text in pages.items() if told_twice.search(text)] == []
    keys = [" ".join(key.split()) for key in re.findall(r"(?<!!)\[([A-Z][^\]]+)\](?!\()", pages["circuit.md"])]
    assert len(keys) >= 5
    assert [key for key in keys if key not in WORKS] == []


def test_no_account_stands_for_a_work() -> None:
    account = re.compile(r"[\w.-]+/[\w.-]+ ?@[0-9a-f]{7}\b|git(hub|lab)\.com/[\w-]+", re.IGNORECASE)
    assert [name for name, text in texts().items() if account.search(text)] == []


@pytest.mark.parametrize("words", ELSEWHERE)
def test_no_words_point_to_a_paper_that_is_not_here(words: str) -> None:
    assert [name for name, text in texts().items() if words in text] == []


def test_every_library_is_named_with_its_licence() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *(one for extra in project["optional-dependencies"].values() for one in extra)]
    names = {re.match(r"[\w-]+", one)[0] for one in asked}  # type: ignore[index]
    assert [name for name in sorted(names) if f"{name} (" not in NOTICE] == []


def test_the_accessibility_script_is_of_the_version_and_licence_told() -> None:
    pytest.importorskip("axe_core_python", reason="missing: axe-core-python")
    head = files("axe_core_python").joinpath("axe.min.js").read_text(encoding="utf-8")[:700]
    told = re.search(r"axe-core ([\d.]+) \(MPL-2\.0\)", NOTICE)
    assert told is not None
    assert f"axe v{told[1]}" in head
    assert re.search(r"Mozilla Public\s+\*?\s*License, v\. 2\.0", head)


def test_the_faces_are_of_the_version_told() -> None:
    from fontTools.ttLib import TTFont

    for path in (ROOT / "diagramgen" / "fonts").glob("*.ttf"):
        version = str(TTFont(path)["name"].getDebugName(5)).removeprefix("Version ")
        assert f"DejaVu Sans Bold {version}" in NOTICE


def test_the_origin_of_every_data_file_is_told() -> None:
    names = [path.relative_to(ROOT).as_posix() for path in paths() if path.suffix in DATA]
    assert len(names) > 200
    assert [name for name in names if not any(fnmatch(name, pattern) for pattern in ORIGINS)] == []


@pytest.mark.parametrize("pattern", sorted(ORIGINS))
def test_an_origin_is_told_of_files_that_are_there(pattern: str) -> None:
    if not (ROOT / pattern.rpartition("/")[0]).is_dir():
        pytest.skip(f"missing: {pattern}, which an archive of the sources leaves out")
    assert any(fnmatch(path.relative_to(ROOT).as_posix(), pattern) for path in paths())


def test_every_table_of_the_circuit_checks_names_a_listed_work_or_that_it_was_worked_out() -> None:
    tables = tomllib.loads((ROOT / "tests" / "data" / "circuits.toml").read_text(encoding="utf-8"))
    said = [table["source"] for group in tables.values() for table in group.values()]
    worked_out = re.compile(r"^(IEC 60028|computed|Faraday|H\(s\)=)")
    assert [one for one in said if not any(work in one for work in WORKS) and not worked_out.match(one)] == []


def test_no_netlist_of_the_tests_has_a_textbooks_names_for_points() -> None:
    tables = tomllib.loads((ROOT / "tests" / "data" / "circuits.toml").read_text(encoding="utf-8"))["sweep"]
    points = {point for table in tables.values() for line in table["net"] for point in line.split()[1:3]}
    assert points == {"0", "drive", "foot", "mid", "tip"}
