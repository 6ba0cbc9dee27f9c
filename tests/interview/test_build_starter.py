"""A new build file from a sample or from ready groups."""

from __future__ import annotations

from itertools import product

import pytest
from reading import ROOT, good, read

from diagramgen.features.interview.starter import CannotStart, quoted, sample_names, start_text
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.reader.groups import ready_files, ready_group
from diagramgen.reader.schema import COMMENT


def holds_a_pickup(group: str) -> bool:
    values = ready_group(group, Diagnostics())
    return values is not None and "pickup" in values.get("parts")


PICKUPS = sorted(filter(holds_a_pickup, ready_files()))


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_reads_by_itself_wherever_it_is_put(name: str) -> None:
    assert good(start_text([name])).parts


def test_a_ten_line_file_of_ready_groups_reads_without_problems() -> None:
    groups = ["single-coil", "single-coil", "selector-three-way", "volume", "tone-branch", "output"]
    text = start_text(groups, "Two coils")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    assert len(lines) <= 10
    build = good(text)
    assert build.title == "Two coils"
    assert set(build.parts) == {"neck-pickup", "bridge-pickup", "selector-switch", "volume-pot", "tone-pot", "tone-cap",
                                "output-jack"}


@pytest.mark.parametrize("combination", list(product(
    PICKUPS, [[], ["selector-three-way"], ["selector-five-way"]],
    [[], ["tone-branch"], ["bleed-series", "tone-branch"]])),
    ids=lambda c: f"{c[0]}{len(c[1])}{len(c[2])}")
def test_every_sensible_choice_of_groups_reads_without_problems(combination: tuple[str, list[str], list[str]]) -> None:
    pickup, selector, more = combination
    pickups = [pickup] * (2 if selector else 1)
    build = good(start_text([*pickups, *selector, "volume", *more, "output", "string-ground"]))
    assert build.leads


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_is_written_as_it_is_shipped_with_its_own_title(name: str) -> None:
    shipped = (ROOT / "samples" / f"{name}.yaml").read_text(encoding="utf-8")
    # The file as found does not come along, so its line is a comment.
    assert start_text([name]) == shipped.replace("\nas found:", "\n# as found:")
    text = start_text([name], "Mine: the first")
    build, problems = read(text, ROOT / "samples")
    assert build is not None
    assert build.title == "Mine: the first"
    assert not any(p.severity is Severity.ERROR for p in problems)


def test_the_first_line_names_the_schema() -> None:
    assert start_text(["volume", "output"]).splitlines()[0] == COMMENT


@pytest.mark.parametrize("names", [[], [" "], ["volumme"], ["output"], ["bleed-series", "output"]])
def test_what_cannot_be_started_from_is_said_with_what_can(names: list[str]) -> None:
    with pytest.raises(CannotStart) as fault:
        start_text(names)
    assert fault.value.remedy


@pytest.mark.parametrize("title", ["plain", "a: b", "# no", "- x", "'q'", "x #1", "{a}", "on", "*", "it's", "ends:"])
def test_any_title_is_written_so_that_it_reads_back(title: str) -> None:
    build = good(f"format: 1\ntitle: {quoted(title)}\n")
    assert build.title == title
