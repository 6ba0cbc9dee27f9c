"""Files that are none, names that are no text, links in a ring, numbers that are none: one sentence each, at once."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from diagramgen import analysis
from diagramgen.analysis import examine
from diagramgen.app.main import group
from diagramgen.console.edit_in_place import bytes_of, write_back
from diagramgen.features.trace.edge_outline import find_rim
from diagramgen.features.trace.homography import from_scale
from diagramgen.job.lengths import SHORTEST
from diagramgen.kernel.diagnostics import spoken
from diagramgen.kernel.geometry import Line, Point
from diagramgen.kernel.provenance import bytes_up_to
from diagramgen.reader.svg_path import arc_pieces
from diagramgen.sheets.printing import compose
from diagramgen.sheets.registry import kinds, sheet_names
from diagramgen.sheets.sheet_kind import Request
from diagramgen.writers.output_folder import write_packet

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "samples"
ONE = (SAMPLES / "one-volume.yaml").read_bytes()


def said(*arguments: str, status: int) -> str:
    result = CliRunner().invoke(group, list(arguments), prog_name="diagramgen")
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code == status, result.output
    return result.output


def real(*arguments: bytes | str, cwd: Path) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-m", "diagramgen", *arguments], cwd=cwd, capture_output=True, timeout=120,
                          env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False)


needs_pipes = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes on this system")


@needs_pipes
@pytest.mark.parametrize("command", [["check"], ["print"], ["add"], ["labels", "--pin"], ["sounds"]])
def test_a_named_pipe_is_no_build_and_is_not_waited_for(tmp_path: Path, command: list[str]) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    more = ["lead", "a.b -> c.d"] if command == ["add"] else []
    begin = time.monotonic()
    text = said(command[0], str(tmp_path / "pipe.yaml"), *command[1:], *more, status=1)
    assert time.monotonic() - begin < 20
    assert "cannot be read" in text


@needs_pipes
def test_a_pipe_that_the_shell_fills_is_read(tmp_path: Path) -> None:
    there, here = os.pipe()
    os.write(here, ONE)
    os.close(here)
    assert bytes_up_to(Path(f"/dev/fd/{there}"), 10_000_000) == ONE
    os.close(there)


def test_only_as_much_of_a_file_is_read_as_is_asked_for(tmp_path: Path) -> None:
    (tmp_path / "long").write_bytes(b"x" * 5000)
    assert bytes_up_to(tmp_path / "long", 100) == b"x" * 100
    with pytest.raises(OSError, match="folder"):
        bytes_up_to(tmp_path, 100)


def test_a_link_that_leads_to_itself_is_a_problem_not_a_crash(tmp_path: Path) -> None:
    (tmp_path / "loop.yaml").symlink_to("loop.yaml")
    assert "cannot be read" in said("check", str(tmp_path / "loop.yaml"), status=1)
    assert "cannot be read" in said("add", str(tmp_path / "loop.yaml"), "lead", "a.b -> c.d", status=1)


@pytest.mark.skipif(sys.platform != "linux", reason="only there may a name be any bytes")
@pytest.mark.parametrize("command", [["check"], ["check", "--json"], ["sounds"], ["print"], ["page"], ["readings"]])
def test_a_file_whose_name_is_no_utf_8_is_worked_on_like_any_other(tmp_path: Path, command: list[str]) -> None:
    name = b"a\xff.yaml"
    (tmp_path / os.fsdecode(name)).write_bytes(ONE)
    done = real(command[0], name, *command[1:], cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    if "--json" in command:
        assert json.loads(done.stdout) == {"problems": []}


@pytest.mark.skipif(sys.platform != "linux", reason="only there may a name be any bytes")
def test_the_shop_takes_a_job_whose_name_is_no_utf_8(tmp_path: Path) -> None:
    (tmp_path / os.fsdecode(b"a\xff.yaml")).write_bytes(ONE)
    done = real("shop", ".", "--sheet", "leads", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert b'href="a%FF/leads.pdf"' in (tmp_path / "sheets" / "index.html").read_bytes()
    assert spoken(os.fsdecode(b"a\xff.yaml")) == "a\ufffd.yaml"


@pytest.mark.parametrize("option", [["print", "--spool"], ["sounds", "--temperature"], ["print", "--dpi"]])
@pytest.mark.parametrize("value", ["nan", "inf", "-inf"])
def test_what_is_no_number_is_no_length_and_no_temperature(option: list[str], value: str) -> None:
    text = said(option[0], str(SAMPLES / "one-volume.yaml"), option[1], value, status=2)
    assert "no number that can be measured" in text or "not in the range" in text


@pytest.mark.parametrize("radius", [1e-300, 1e-200, 1e-9, 9.9e-5])
def test_an_arc_of_no_size_is_a_straight_line(radius: float) -> None:
    # SVG 1.1 (W3C recommendation, second edition), appendix F.6.2: an arc without a radius is a straight line.
    to = Point(10, 4)
    for radii in ((radius, radius), (radius, 30.0), (30.0, radius)):
        assert arc_pieces(Point(0, 0), to, radii, 0.3, False, True) == [Line(to)]


@pytest.mark.parametrize("kind", sheet_names())
def test_every_kind_of_sheet_can_be_bound_into_a_packet(kind: str) -> None:
    proof = examine(SAMPLES / "one-volume.yaml")
    made = compose(proof, Request(sheets=("packet", kind)))
    assert made["packet.pdf"].startswith(b"%PDF-")


def test_why_a_sheet_is_not_there_is_said_for_what_it_is(tmp_path: Path) -> None:
    one, loose = str(SAMPLES / "one-volume.yaml"), str(SAMPLES / "no-cavity.yaml")
    out = ("--out", str(tmp_path))
    assert "not known" in said("print", one, *out, "--sheet", "undo", status=2)
    assert "measured places" not in said("print", one, *out, "--sheet", "undo", "--sheet", "changes", status=2)
    assert "measured places" in said("print", loose, *out, "--sheet", "jig", status=2)
    # What can be made is made, and of the rest it is said why not.
    assert "no sheet 'undo'" in said("print", one, *out, "--sheet", "undo", "--sheet", "leads", status=0)
    bad = tmp_path / "bad.yaml"
    bad.write_bytes(ONE.replace(b"pickup.finish ", b"pickup.finsh "))
    assert "could not be solved" in said("print", str(bad), "--anyway", "--sheet", "proof", status=2)
    assert all(kind.unavailable(examine(SAMPLES / "two-pickups-toggle.yaml")) == "" for kind in kinds().values())


def test_a_slip_in_a_symbol_of_ones_own_is_said_at_its_line(tmp_path: Path) -> None:
    slip = (ROOT / "symbols" / "pot-24.yaml").read_text(encoding="utf-8").replace("symbol: pot-24", "symbol: own")
    (tmp_path / "own.yaml").write_text(slip.replace("\nlugs:", "\nlugz:"), encoding="utf-8")
    (tmp_path / "job.yaml").write_bytes(ONE)
    text = said("symbols", "own", "--symbols", str(tmp_path), status=1)
    assert "no key 'lugz'" in text
    listed = said("symbols", "--symbols", str(tmp_path), status=1)
    assert "pot-24" in listed
    assert listed.count("job.yaml") == 1
    assert "holds a build, not a symbol" in listed


def test_a_list_of_readings_longer_than_a_book_is_refused(tmp_path: Path) -> None:
    (tmp_path / "seen.txt").write_text("selector=up: 7k\n" * 20_000, encoding="utf-8")
    text = said("fault", str(SAMPLES / "one-volume.yaml"), "--seen-in", str(tmp_path / "seen.txt"), status=2)
    assert "larger than" in text


def test_a_list_of_sheets_that_is_none_of_ours_is_not_read_to_its_end(tmp_path: Path) -> None:
    with (tmp_path / "sheets.json").open("wb") as stream:
        stream.truncate(3_000_000_000)  # no disk is filled: it is a hole
    begin = time.monotonic()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "read_text", None)
        patch.setattr(Path, "read_bytes", None)
        try:
            write_packet(tmp_path, {"leads.csv": b"x"}, "abcd")
        except Exception as fault:  # a list that is not ours may as well be refused
            assert "sheets.json" in str(fault), fault  # noqa: PT017
    assert time.monotonic() - begin < 10


def test_what_an_editor_saved_in_the_meantime_is_never_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    build = tmp_path / "a.yaml"
    build.write_bytes(ONE)
    saved = ONE + b"# saved by an editor\n"

    def examined(path: Path, *rest: object, **more: object) -> object:
        found = examine(path, *rest, **more)  # type: ignore[arg-type]
        build.write_bytes(saved)
        return found

    monkeypatch.setattr(analysis, "examine", examined)
    for command in (["add", str(build), "lead", "volume.case -> output.sleeve, green"],
                    ["labels", str(build), "--pin"]):
        build.write_bytes(ONE)
        assert "changed while it was read" in said(*command, status=3)
        assert build.read_bytes() == saved


def test_a_file_is_written_back_only_over_what_was_read(tmp_path: Path) -> None:
    build = tmp_path / "a.yaml"
    build.write_bytes(b"new")
    with pytest.raises(SystemExit) as ended:
        write_back(build, b"old", b"mine")
    assert ended.value.code == 3
    assert build.read_bytes() == b"new"
    write_back(build, b"new", b"mine")
    assert build.read_bytes() == b"mine"
    build.write_bytes(b"x" * 2_000_000)
    assert bytes_of(build) is None


def test_a_rim_is_found_without_a_second_picture_in_memory() -> None:
    # What lies far from the edge is never asked for: it may hold anything.
    cv2 = pytest.importorskip("cv2")
    light = np.full((900, 1200), 0.6, np.float32)
    cv2.rectangle(light, (300, 250), (800, 600), 0.1, -1)
    rim = find_rim(light, from_scale(0.1), None)
    low, high = rim.points.min(axis=0), rim.points.max(axis=0)
    assert np.allclose(low, (299.5, 249.5), atol=0.6)
    assert np.allclose(high, (800.5, 600.5), atol=0.6)


@pytest.mark.parametrize("length", ["0.0001", "1", f"{SHORTEST - 0.1}"])
@pytest.mark.parametrize("name", ["one-volume", "no-cavity"])
def test_no_wire_is_cut_shorter_than_its_stripped_ends(name: str, length: str, tmp_path: Path) -> None:
    text = (SAMPLES / f"{name}.yaml").read_text(encoding="utf-8")
    assert text.count("- volume.wiper -> output.tip, red") == 1
    build = tmp_path / "a.yaml"
    build.write_text(text.replace("output.tip, red", f"output.tip, red, length {length}"), encoding="utf-8")
    found = [p for p in examine(build).problems if p.code == "LEN-301"]
    assert len(found) == 1
    assert f"given {length} mm" in found[0].message


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is another thing there")
@pytest.mark.parametrize("command", [["shop", ".", "--workers", "2"], ["print", "a.yaml"]])
def test_ctrl_c_ends_with_130_and_no_traceback(tmp_path: Path, command: list[str]) -> None:
    baritone = (SAMPLES / "baritone.yaml").read_bytes()
    for name in ("a", "b"):
        (tmp_path / f"{name}.yaml").write_bytes(baritone)
    running = subprocess.Popen([sys.executable, "-m", "diagramgen", *command], cwd=tmp_path, stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)})
    time.sleep(1.5)
    running.send_signal(signal.SIGINT)
    _, errors = running.communicate(timeout=120)
    assert running.returncode == 130, errors
    assert b"Traceback" not in errors
