"""Commands that write into one folder: none removes or replaces what another one wrote there."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from running import LOOSE, SAMPLES, quick

FOUND, LEFT = str(SAMPLES / "two-pickups-toggle-found.yaml"), str(SAMPLES / "two-pickups-toggle.yaml")
PRICES = str(SAMPLES / "prices" / "lantern-lane.yaml")
COMMANDS = {
    "print": ("print", LOOSE, "--sheet", "leads"),
    "compare": ("compare", FOUND, LEFT),
    "labels": ("labels", LOOSE, "--automatic-tags", "--kind", "parts"),
    "price": ("price", LOOSE, "--prices", PRICES, "--sheet", "buying"),
    "page": ("page", LOOSE),
}


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def written(command: str, folder: Path) -> dict[str, bytes]:
    before = contents(folder) if folder.exists() else {}
    done = quick(*COMMANDS[command], "--out", str(folder))
    assert done.exit_code == 0, done.output
    after = contents(folder)
    kept = {name: after.get(name) for name in before}
    assert kept == before, f"{command} changed what lay there"
    return {name: data for name, data in after.items() if name not in before}


def test_five_commands_share_a_folder_in_either_order_and_each_replaces_only_its_own(tmp_path: Path) -> None:
    for i, order in enumerate((list(COMMANDS), list(COMMANDS)[::-1])):
        folder = tmp_path / str(i)
        own = {command: written(command, folder) for command in order}
        assert all(own.values())
        assert contents(folder) == {name: data for files in own.values() for name, data in files.items()}
        for command in order[:2]:  # once more: a command finds its own sheets as they were, and no others
            assert quick(*COMMANDS[command], "--out", str(folder)).exit_code == 0
        assert contents(folder) == {name: data for files in own.values() for name, data in files.items()}


def test_a_sheet_in_the_list_of_another_command_is_not_replaced(tmp_path: Path) -> None:
    done = quick("compare", FOUND, LEFT, "--out", str(tmp_path))
    assert done.exit_code == 0
    before = contents(tmp_path)
    done = quick("print", LEFT, "--sheet", "changes", "--out", str(tmp_path))
    assert done.exit_code == 3
    assert "a sheet of 'compare' lies there (compared.json lists it)" in done.stderr
    assert contents(tmp_path) == before


@pytest.mark.parametrize("first", ["shop", "print"])
def test_print_and_shop_do_not_take_the_sheets_of_each_other(tmp_path: Path, first: str) -> None:
    jobs = tmp_path / "jobs"
    jobs.mkdir()
    shutil.copy(LOOSE, jobs / "a.yaml")
    place = jobs / "sheets" / "a"
    calls = {"shop": ("shop", str(jobs), "--sheet", "leads", "--workers", "1"),
             "print": ("print", str(jobs / "a.yaml"), "--sheet", "proof", "--out", str(place))}
    second = "print" if first == "shop" else "shop"
    assert quick(*calls[first]).exit_code == 0
    before = contents(place)
    assert quick(*calls[second]).exit_code == 0
    assert {name: contents(place).get(name) for name in before} == before
    assert json.loads((place / "job-sheets.json").read_text())["files"].keys() == {
        "job.json", "leads.csv", "leads.json", "leads.pdf"}
