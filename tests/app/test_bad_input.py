"""Files that are no build and folders that take no file: a sentence with a place, a status, nothing half-written."""

from __future__ import annotations

import errno
import json
import os
from pathlib import Path

import pytest
from running import LOOSE, quick, run


def wrong_files(folder: Path) -> dict[str, Path]:
    found = {name: folder / f"{name}.yaml" for name in ("empty", "blank", "binary", "huge", "folder", "latin")}
    found["empty"].write_bytes(b"")
    found["blank"].write_bytes(b"\n   \n# only a comment\n")
    found["binary"].write_bytes(bytes(range(256)) * 20)
    found["latin"].write_bytes("title: Größe\n".encode("latin-1"))
    with found["huge"].open("wb") as out:
        out.truncate(50_000_000)
    found["folder"].mkdir()
    found["dangling"] = folder / "dangling.yaml"
    found["dangling"].symlink_to(folder / "gone.yaml")
    return found


SAYS = {
    "empty": ("INP-012", "the file is empty"),
    "blank": ("INP-012", "empty"),
    "binary": ("INP-002", "binary"),
    "huge": ("INP-001", "50.0 MB"),
    "folder": ("INP-021", "folder"),
    "latin": ("INP-003", "UTF-8"),
    "dangling": ("INP-020", "no such file"),
}


@pytest.mark.parametrize("command", ["print", "check"])
@pytest.mark.parametrize("kind", SAYS)
def test_a_file_that_is_no_build_is_one_error_with_a_remedy_and_nothing_is_written(kind, command, tmp_path):
    file = wrong_files(tmp_path)[kind]
    out = ["--out", str(tmp_path / "o")] if command == "print" else []
    result = quick(command, str(file), *out)
    code, words = SAYS[kind]
    assert result.exit_code == 1
    assert f"{file}" in result.stderr
    assert f"error {code}: " in result.stderr
    assert words in result.stderr
    assert "\n  What to do: " in result.stderr
    assert not (tmp_path / "o").exists()


def test_a_file_of_50_mb_is_refused_without_being_held_in_memory(tmp_path):
    import tracemalloc

    file = wrong_files(tmp_path)["huge"]
    quick("check", LOOSE)  # so that imports do not count
    tracemalloc.start()
    quick("check", str(file))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 5_000_000


@pytest.mark.skipif(not Path("/proc/self/mem").exists(), reason="missing: /proc")
def test_a_file_the_system_does_not_read_is_a_sentence():
    done = run("check", "/proc/self/mem")
    assert done.returncode == 1
    assert "error INP-020: this file cannot be read: input/output error" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(("fault", "words"), [(errno.EACCES, "permission denied"), (errno.ENOENT, "no such file")])
def test_a_file_that_may_not_be_read_or_vanishes_on_the_way_is_a_sentence(fault, words, tmp_path, monkeypatch):
    build = tmp_path / "my.yaml"
    build.write_bytes(Path(LOOSE).read_bytes())
    opened = Path.open

    def refuse(path, *args, **kwargs):
        if path == build:
            raise OSError(fault, os.strerror(fault)) if fault != errno.ENOENT else FileNotFoundError(fault, "gone")
        return opened(path, *args, **kwargs)

    monkeypatch.setattr(Path, "open", refuse)
    result = quick("check", str(build))
    assert result.exit_code == 1
    assert words in result.stderr


def test_a_name_that_is_not_there_offers_the_nearest_that_is(tmp_path):
    for name in ("baritone.yaml", "bass.yaml"):
        (tmp_path / name).write_text("format: 1\n")
    result = quick("check", str(tmp_path / "baritne.yaml"))
    assert result.exit_code == 1
    assert "there is no such file\n  What to do: Did you mean 'baritone.yaml'?" in result.stderr


def test_names_of_another_script_with_blanks_or_too_long_are_said_back(tmp_path):
    for name in ("мой файл.yaml", "a" * 300 + ".yaml", "nul\0.yaml"[:3]):
        done = quick("check", str(tmp_path / name))
        assert done.exit_code == 1
        assert name in done.stderr


def test_all_faults_of_a_file_are_told_in_one_run_sorted_by_line(tmp_path):
    file = tmp_path / "many.yaml"
    file.write_text("format: 1\ntitle: Many\ncolor: red\nparts:\n  volume: pot-42\n  output: jack-mono-open, at 1\n"
                    "leads:\n  - volume.ten -> output.tip, purpel\n  - output.tip -> output.tip\n")
    result = quick("check", str(file), "--json")
    found = json.loads(result.stdout)["problems"]
    lines = [p["line"] for p in found if p["severity"] == "error"]
    assert result.exit_code == 1
    assert lines == sorted(lines)
    assert {3, 5, 6, 8, 9} <= set(lines)
    assert all(p["remedy"] and p["message"] for p in found)


@pytest.mark.parametrize("kind", ["file", "under a file", "no such device"])
def test_an_output_folder_that_cannot_be_written_ends_with_3_and_says_why(kind, tmp_path):
    (tmp_path / "there").write_text("mine")
    out = {"file": tmp_path / "there", "under a file": tmp_path / "there" / "sub", "no such device": Path("/proc/x")}
    result = quick("print", LOOSE, "--out", str(out[kind]), "--sheet", "leads")
    assert result.exit_code == 3
    assert "error: cannot write" in result.stderr
    assert "\n  What to do: Choose another folder with --out" in result.stderr
    assert (tmp_path / "there").read_text() == "mine"
    assert [p.name for p in tmp_path.iterdir()] == ["there"]


def test_a_disk_that_fills_up_leaves_the_old_sheets_and_nothing_half_written(tmp_path, monkeypatch):
    folder = tmp_path / "o"
    quick("print", LOOSE, "--out", str(folder), "--sheet", "leads")
    old = {p.name: p.read_bytes() for p in folder.iterdir()}
    written = []

    def full(handle):
        written.append(handle)
        if len(written) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    changed = tmp_path / "changed.yaml"
    changed.write_text(Path(LOOSE).read_text(encoding="utf-8").replace("title: ", "title: Another "), encoding="utf-8")
    result = quick("print", str(changed), "--out", str(folder), "--sheet", "leads")
    assert result.exit_code == 3
    assert "no space left" in result.stderr.lower()
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == old


def test_a_read_only_folder_ends_with_3(tmp_path, monkeypatch):
    import tempfile

    def refuse(*args, **kwargs):
        raise PermissionError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr(tempfile, "mkstemp", refuse)
    result = quick("print", LOOSE, "--out", str(tmp_path / "o"), "--sheet", "leads")
    assert result.exit_code == 3
    assert "read-only" in result.stderr.lower()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="missing: /dev/full")
@pytest.mark.parametrize("command", [["--help"], ["start", "one-volume"], ["schema"]])
def test_a_standard_output_that_takes_no_more_ends_with_3_and_no_traceback(command):
    import subprocess
    import sys

    from running import ROOT

    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "diagramgen", *command], stdout=full, stderr=subprocess.PIPE, text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False,
        )  # fmt: skip
    assert done.returncode == 3
    assert done.stderr == "error: cannot write the output: no space left on device\n"
