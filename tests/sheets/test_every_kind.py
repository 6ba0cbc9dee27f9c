"""Every kind of sheet there is, crossed with all it may be printed with; a new kind is found by itself."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from diagramgen.analysis import Analysis, examine
from diagramgen.app.main import group
from diagramgen.sheets.printing import compose, job_of, sheets_of
from diagramgen.sheets.reference import reference_text
from diagramgen.sheets.registry import binding, default_sheets, kinds, packet_sheets, sheet_names
from diagramgen.sheets.sheet_kind import Pictures, Request

ROOT = Path(__file__).resolve().parents[2]
TINY = (ROOT / "tests" / "helpers" / "tiny.yaml").read_bytes()


@cache
def tiny() -> Analysis:
    return examine(Path("tiny.yaml"), data=TINY)


@cache
def broken() -> Analysis:
    """A build with an error, printed all the same where that is asked for."""
    return examine(Path("tiny.yaml"), data=TINY.replace(b"pickup.finish ", b"pickup.finsh "))


def files_of(analysis: Analysis, *names: str) -> dict[str, bytes]:
    return compose(analysis, Request(sheets=names))


@pytest.mark.parametrize("name", kinds())
@pytest.mark.parametrize("beside", ["", "packet", "record"])
def test_a_kind_prints_alone_with_the_packet_and_with_the_record(name: str, beside: str) -> None:
    files = files_of(tiny(), *filter(None, {name, beside}))
    if not kinds()[name].unavailable(tiny()):
        assert files
    if beside == "packet":
        assert files["packet.pdf"].startswith(b"%PDF")
    if beside == "record":
        assert files["record.pdf"].startswith(b"%PDF")


@pytest.mark.parametrize("name", kinds())
def test_a_build_with_errors_is_stamped_on_every_sheet_or_the_kind_says_why_there_is_none(name: str) -> None:
    if kinds()[name].unavailable(broken()):
        assert name not in sheets_of(job_of(broken(), Request(sheets=(name,))))
        return
    job = job_of(broken(), Request(sheets=(name,), anyway=True))
    assert "NOT PROVED" in job.context.warning
    assert any(sheets_of(job).values()) or name == "template"


@pytest.fixture(scope="module")
def metered(tmp_path_factory: pytest.TempPathFactory) -> Analysis:
    """The small build with a reading at its plug."""
    file = tmp_path_factory.mktemp("metered") / "readings.yaml"
    file.write_text("plug: [{ohms: 7.4k}]\n", encoding="utf-8")
    analysis = examine(Path("tiny.yaml"), data=TINY, results=file)
    assert analysis.verdicts
    return analysis


@pytest.mark.parametrize("name", kinds())
def test_a_kind_prints_of_a_build_with_readings(name: str, metered: Analysis) -> None:
    assert files_of(metered, name) or kinds()[name].unavailable(metered) or name == "template"


@pytest.mark.parametrize("name", kinds())
def test_what_a_kind_declares_is_a_word_a_title_and_a_place_of_its_own(name: str) -> None:
    kind = kinds()[name]
    assert name == kind.name == name.lower()
    assert kind.title[:1].isupper()
    assert kind.default or kind.hint
    assert set(kind.brings) <= set(kinds())
    assert not kind.unscaled or kind.unscaled in kinds()
    assert kind.pictures in Pictures


def test_the_help_of_print_names_every_kind() -> None:
    said = " ".join(CliRunner().invoke(group, ["print", "--help"]).output.split()).replace("- ", "-")
    for name in sheet_names():
        assert name in said
    for name, kind in kinds().items():
        assert kind.default or f"{name} ({kind.hint})" in said


def test_the_page_of_sheets_is_made_from_what_the_kinds_declare() -> None:
    assert (ROOT / "docs" / "sheets.md").read_text(encoding="utf-8") == reference_text(), (
        "run: python tools/make_reference.py")


def test_a_packet_holds_what_is_made_by_default() -> None:
    assert set(default_sheets()) < set(packet_sheets()) <= set(sheet_names())


def test_sheets_are_numbered_in_the_order_of_their_places() -> None:
    job = job_of(tiny(), Request(sheets=packet_sheets()))
    places = [kinds()[name].place for name in job.kinds]
    assert places == sorted(places)
    assert job_of(replace(tiny()), Request(sheets=("record",))).kinds[0] == "record"


def test_one_kind_holds_the_rows_that_tags_lead_to_and_one_binds_the_others():
    assert [name for name, kind in kinds().items() if kind.rows] == ["leads"]
    assert [name for name, kind in kinds().items() if kind.binds] == ["packet"]
    assert [binding(names) for names in ((), ("leads",), ("leads", "packet"))] == ["", "", "packet"]
