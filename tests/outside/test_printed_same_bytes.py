"""The command writes the same bytes whatever the hash seed, time zone, clock, language or working directory."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys

import pytest
from printed_samples import ROOT, SAMPLES, printed


def hashes(files):
    return {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}


def by_command(name, folder, cwd, **surroundings):
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **surroundings}
    subprocess.run(
        [sys.executable, "-m", "diagramgen", "print", os.path.relpath(SAMPLES / f"{name}.yaml", cwd), "--out",
         str(folder), "--quiet", "--anyway"],
        cwd=cwd, env=environment, check=False, capture_output=True,
    )  # fmt: skip
    return hashes({p.name: p.read_bytes() for p in folder.iterdir()})


@pytest.mark.parametrize(
    ("name", "surroundings"),
    [
        ("no-cavity", {"PYTHONHASHSEED": "1", "TZ": "Pacific/Auckland", "SOURCE_DATE_EPOCH": "1234567890"}),
        ("left-handed", {"PYTHONHASHSEED": "4242", "TZ": "America/St_Johns", "LC_ALL": "C"}),
    ],
)
def test_the_command_writes_what_another_process_elsewhere_composed(name, surroundings, tmp_path):
    made = by_command(name, tmp_path / "sheets", tmp_path, **surroundings)
    made.pop("sheets.json")
    assert len(made) >= 5
    assert made == hashes(printed(name).files)


def test_nothing_written_knows_the_machine_or_the_day():
    for name, data in printed("one-volume").files.items():
        assert str(ROOT).encode() not in data, name
        for year in range(2023, 2040):
            assert f"D:{year}".encode() not in data, name
