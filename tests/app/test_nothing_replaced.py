"""A file that the program did not write, or that was changed since, is not replaced unless that is asked for; one that
the sheets are made from never is. Where one may not be replaced, none is written."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from running import LOOSE, SAMPLES, quick

from diagramgen.writers.output_folder import write_packet

FOUND, LEFT = str(SAMPLES / "two-pickups-toggle-found.yaml"), str(SAMPLES / "two-pickups-toggle.yaml")
PRICES = str(SAMPLES / "prices" / "lantern-lane.yaml")
COMMANDS = {
    "print": (("print", LOOSE, "--sheet", "leads"), "leads.csv"),
    "page": (("page", LOOSE), "page.html"),
    "labels": (("labels", LOOSE, "--automatic-tags", "--kind", "parts"), "labels.pdf"),
    "price": (("price", LOOSE, "--prices", PRICES, "--sheet", "buying"), "buying.csv"),
    "compare": (("compare", FOUND, LEFT), "changes.csv"),
    "symbols": (("symbols", "pot-24"), "card-pot-24.svg"),
    "trace": (("trace", "--card"), "trace-card.svg"),
}
"""Command and one of the files it writes into the folder of --out."""
MINE = b"an afternoon's work\n"
OUTLINE = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 92 62"><rect width="92" height="62"/></svg>'


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir()}


@pytest.mark.parametrize("command", COMMANDS)
def test_a_file_of_the_users_is_kept_and_named_until_it_is_told_to_go(command: str, tmp_path: Path) -> None:
    call, name = COMMANDS[command]
    (tmp_path / name).write_bytes(MINE)
    done = quick(*call, "--out", str(tmp_path))
    assert done.exit_code == 3
    assert f"error: cannot write {tmp_path / name}: a file of that name is there already" in done.stderr
    assert "--replace writes over it" in done.stderr
    assert contents(tmp_path) == {name: MINE}
    assert quick(*call, "--out", str(tmp_path), "--replace").exit_code == 0
    assert contents(tmp_path)[name] != MINE


@pytest.mark.parametrize("command", COMMANDS)
def test_what_a_command_wrote_it_replaces_and_what_was_changed_since_it_keeps(command: str, tmp_path: Path) -> None:
    call, name = COMMANDS[command]
    for _ in range(2):
        assert quick(*call, "--out", str(tmp_path)).exit_code == 0
    with (tmp_path / name).open("ab") as stream:
        stream.write(MINE)
    before = contents(tmp_path)
    done = quick(*call, "--out", str(tmp_path))
    assert done.exit_code == 3
    assert f"{tmp_path / name}: it was changed since it was written here" in done.stderr
    assert contents(tmp_path) == before
    assert quick(*call, "--out", str(tmp_path), "--replace").exit_code == 0
    assert not contents(tmp_path)[name].endswith(MINE)


@pytest.mark.parametrize("command", [name for name in COMMANDS if name != "trace"])
def test_a_list_of_the_users_under_the_name_of_ours_is_kept(command: str, tmp_path: Path) -> None:
    call, _ = COMMANDS[command]
    assert quick(*call, "--out", str(tmp_path / "once")).exit_code == 0
    (listed,) = [p.name for p in (tmp_path / "once").glob("*.json") if "file_check" in json.loads(p.read_text())
                 and "files" in json.loads(p.read_text())]
    (tmp_path / listed).write_text('{"shopping": ["solder"]}')
    assert quick(*call, "--out", str(tmp_path)).exit_code == 3
    assert (tmp_path / listed).read_text() == '{"shopping": ["solder"]}'


def test_every_file_that_stands_in_the_way_is_named_at_once(tmp_path: Path) -> None:
    for name in ("leads.csv", "leads.pdf"):
        (tmp_path / name).write_bytes(MINE)
    done = quick(*COMMANDS["print"][0], "--out", str(tmp_path))
    assert "nor may 'leads.pdf' be replaced" in done.stderr
    assert set(contents(tmp_path)) == {"leads.csv", "leads.pdf"}


@pytest.mark.parametrize("listed", [False, True])
def test_the_outline_a_build_names_is_never_replaced(listed: bool, tmp_path: Path) -> None:
    """Neither one drawn by the user, nor a template printed earlier that the build now rests on."""
    if listed:
        write_packet(tmp_path, {"template.svg": OUTLINE}, "")
    (tmp_path / "template.svg").write_bytes(OUTLINE)
    text = (SAMPLES / "one-volume.yaml").read_text(encoding="utf-8")
    shape = "shape: {rounded: [92, 62], corner: 12}"
    assert shape in text
    (tmp_path / "my.yaml").write_text(text.replace(shape, "shape: {svg: template.svg, width: 92}"))
    before = contents(tmp_path)
    for more in ((), ("--replace",)):
        done = quick("print", str(tmp_path / "my.yaml"), "--out", str(tmp_path), *more)
        assert done.exit_code == 3, done.output
        assert f"{tmp_path / 'template.svg'}: what is written here is made from this file" in done.stderr
        assert contents(tmp_path) == before
    assert quick("print", str(tmp_path / "my.yaml"), "--out", str(tmp_path / "sheets")).exit_code == 0


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
@pytest.mark.parametrize("link", [Path.symlink_to, Path.hardlink_to])
def test_a_price_file_reached_by_a_link_is_never_replaced(link: Callable[[Path, Path], None], tmp_path: Path) -> None:
    shutil.copy(PRICES, tmp_path / "shop.yaml")
    (tmp_path / "papers").mkdir()
    link(tmp_path / "papers" / "buying.csv", tmp_path / "shop.yaml")
    done = quick("price", LOOSE, "--prices", str(tmp_path / "shop.yaml"), "--sheet", "buying", "--out",
                 str(tmp_path / "papers"), "--replace")
    assert done.exit_code == 3
    assert (tmp_path / "papers" / "buying.csv").samefile(tmp_path / "shop.yaml")


def test_the_build_as_found_and_its_files_are_never_replaced_by_the_changes(tmp_path: Path) -> None:
    """``compare`` reads both builds: neither gives way to a sheet of its own name."""
    shutil.copy(FOUND, tmp_path / "changes.csv")
    done = quick("compare", str(tmp_path / "changes.csv"), LEFT, "--out", str(tmp_path), "--replace")
    assert done.exit_code == 3
    assert "made from this file" in done.stderr
    assert (tmp_path / "changes.csv").read_bytes() == Path(FOUND).read_bytes()


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_is_kept_and_when_told_to_go_what_it_leads_to_stays(tmp_path: Path) -> None:
    call, name = COMMANDS["page"]
    (tmp_path / "mine.html").write_bytes(MINE)
    (tmp_path / name).symlink_to("mine.html")
    done = quick(*call, "--out", str(tmp_path))
    assert done.exit_code == 3
    assert "a link of that name is there already" in done.stderr
    assert quick(*call, "--out", str(tmp_path), "--replace").exit_code == 0
    assert (tmp_path / "mine.html").read_bytes() == MINE
    assert not (tmp_path / name).is_symlink()


def test_a_schema_goes_over_itself_and_over_nothing_else(tmp_path: Path) -> None:
    out = tmp_path / "my.yaml"
    shutil.copy(LOOSE, out)
    done = quick("schema", "--out", str(out))
    assert done.exit_code == 3
    assert f"error: cannot write {out}" in done.stderr
    assert out.read_bytes() == Path(LOOSE).read_bytes()
    for _ in range(2):
        assert quick("schema", "--out", str(tmp_path / "build.schema.json")).exit_code == 0
    assert quick("schema", "--out", str(out), "--replace").exit_code == 0
    assert json.loads(out.read_text(encoding="utf-8"))


@pytest.mark.parametrize("call", [("start", "one-volume"), ("readings", LOOSE), ("start", "--ask")])
def test_what_is_filled_in_by_hand_is_never_written_over(call: tuple[str, ...], tmp_path: Path) -> None:
    out = tmp_path / "mine.yaml"
    out.write_bytes(MINE)
    done = quick(*call, "--out", str(out))
    assert done.exit_code == 3
    assert "is there already and is not written over" in done.stderr
    assert out.read_bytes() == MINE


def test_cards_of_other_symbols_and_the_card_beside_a_photograph_stay(tmp_path: Path) -> None:
    for name in ("pot-24", "jack-mono-open"):
        assert quick("symbols", name, "--out", str(tmp_path)).exit_code == 0
    assert quick("trace", "--card", "--out", str(tmp_path)).exit_code == 0
    assert {"card-pot-24.pdf", "card-jack-mono-open.pdf", "trace-card.pdf"} <= set(contents(tmp_path))


def test_the_check_picture_never_takes_the_place_of_the_outline_drawn_over_it(tmp_path: Path) -> None:
    """The drawing is made over the check picture and saved under its name: then it is what the outline comes from."""
    np = pytest.importorskip("numpy")
    cv2 = pytest.importorskip("cv2", reason="missing: cv2")
    picture = np.full((600, 800, 3), 240, np.uint8)
    cv2.rectangle(picture, (200, 150), (600, 450), (40, 40, 40), -1)
    cv2.imwrite(str(tmp_path / "scan.png"), picture)
    drawing = tmp_path / "trace-check.svg"
    drawing.write_bytes(b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 600">'
                        b'<rect x="200" y="150" width="400" height="300"/></svg>')
    before = drawing.read_bytes()
    done = quick("trace", str(tmp_path / "scan.png"), "--dpi", "150", "--drawn", str(drawing), "--out", str(tmp_path),
                 "--replace")
    assert done.exit_code == 3, done.output
    assert "made from this file" in done.stderr
    assert drawing.read_bytes() == before
    assert sorted(os.listdir(tmp_path)) == ["scan.png", "trace-check.svg"]
