"""Builds whose leads have no good way: they end, every lead is drawn, and what could not be kept is said."""

from __future__ import annotations

import csv
import json
import math
import re
from collections import Counter
from itertools import combinations
from pathlib import Path

import pytest
from click.testing import Result
from running import quick

from diagramgen.analysis import examine
from diagramgen.drawing.scene import Role, Shape, Sheet, walk
from diagramgen.features.diagrams.sheet import full_size_drawing
from diagramgen.sheets.context import context_of

HEAD = "format: 1\ntitle: A hard room\njob: HR-1\nneck: left\n"
ROOM = "{rounded: [124, 74], corner: 12}"
RING = ", ".join(
    f"{{at: [{62 + 16 * math.cos(k * math.pi / 6):.1f}, {48 + 16 * math.sin(k * math.pi / 6):.1f}], diameter: 9}}"
    for k in range(12)
)


def build(shape: str = ROOM, jack: str = "8", volume: str = "100 22", marks: tuple[str, str] = ("", "")) -> str:
    """A pickup, a volume, a tone and a toggle inside a ring of posts; marks are put to the last two leads."""
    return f"""{HEAD}cavity: {{shape: {shape}, depth: 38, posts: [{RING}]}}
channels:
  jack: {{at: [124, 37], diameter: {jack}, length: 40}}
  pickup: {{at: [0, 40], diameter: 8, length: 40}}
parts:
  volume: pot-24, 250k log, at {volume}
  tone: pot-24, 250k log, at 24 22
  mode: toggle-mini-dpdt-on-on, at 62 48
  pickup: {{symbol: single-coil, value: 6k2, through: pickup, colours: {{finish: white, start: black}}}}
  output: jack-mono-open, through jack
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.case
  - volume.wiper -> output.tip, red
  - volume.zero -> volume.case, black
  - volume.case -> output.sleeve, black
  - mode.a common -> volume.case, blue
  - volume.ten -> tone.wiper, yellow, tag W07{marks[0]}
  - tone.case -> volume.case, black, tag W08{marks[1]}
"""


def crowd(leads: int) -> str:
    """Eight toggles in a cavity of 100 x 62 mm and leads between nearly all of their lugs."""
    parts = [f"  t{k}: toggle-mini-dpdt-on-on, at {14 + 24 * (k % 4)} {18 + 30 * (k // 4)}\n" for k in range(8)]
    lugs = [f"t{k}.{pole} {way}" for k in range(8) for pole in "ab" for way in ("1", "common", "2")]
    pairs = list(combinations(lugs, 2))
    lines = ["  - {} -> {}\n".format(*pairs[(17 * k) % len(pairs)]) for k in range(leads)]
    lines += ["  - t0.a 1 -> output.tip\n", "  - t0.a 2 -> output.sleeve\n"]
    return (
        f"{HEAD}cavity: {{shape: {{rounded: [100, 62], corner: 10}}, depth: 38}}\n"
        "channels:\n  jack: {at: [100, 31], diameter: 8, length: 40}\n"
        f"parts:\n{''.join(parts)}  output: jack-mono-open, through jack\nleads:\n{''.join(lines)}"
    )


CASES = {
    "a lug walled in": (build(), 0, [("RTE-101", "no way found, laid straight"), ("RTE-101", "crosses post")]),
    "no width": (build(jack="0"), 1, [("INP-105", "zero")]),
    "hardly any width": (build(jack="0.2"), 1, [("FIT-320", "through it go W03")]),
    "a place outside": (build(marks=(", via 60 -20", ", via 300 300")), 0,
                        [("RTE-106", "60 -20"), ("RTE-106", "300 300")]),
    "apart and twisted": (build(marks=(", apart from W08, twisted with W08", "")), 0, [("RTE-107", "W08")]),
    "over and under": (build(marks=("", ", over tone, under tone")), 0, [("RTE-107", "under tone")]),
    "touching itself": (
        build("{polygon: [[0, 0], [60, 0], [62, 37], [64, 0], [124, 0], [124, 74], [62, 37], [0, 74]]}"),
        1,
        [("INP-039", "touches or crosses itself")],
    ),
    "a part outside": (build(volume="180 26"), 1, [("FIT-304", "volume")]),
}  # fmt: skip


def checked(text: str, folder: Path) -> Result:
    file = folder / "hard.yaml"
    file.write_text(text, encoding="utf-8")
    return quick("check", str(file))


@pytest.mark.parametrize("name", CASES)
def test_what_could_not_be_kept_is_said_at_the_lead_or_the_place(name: str, tmp_path: Path) -> None:
    text, status, says = CASES[name]
    result = checked(text, tmp_path)
    said = result.stdout + result.stderr
    assert result.exit_code == status
    for code, words in says:
        assert any(f" {code}: " in line and words in line for line in said.splitlines()), (code, words, said)


def test_no_way_of_a_lead_is_judged_while_its_part_stands_outside(tmp_path: Path) -> None:
    said = checked(CASES["a part outside"][0], tmp_path).stderr.splitlines()
    problems = [line for line in said if ": error " in line or ": warning " in line]
    kinds = [": error " in line for line in problems]
    assert kinds == sorted(kinds, reverse=True)  # errors first
    assert not [line for line in problems if "RTE-101" in line or "DRW-105" in line or "DRW-109" in line]


@pytest.mark.parametrize("name", [name for name in CASES if name != "no width"])
def test_every_lead_is_drawn_all_the_same(name: str, tmp_path: Path) -> None:
    text, status, _ = CASES[name]
    file, out = tmp_path / "hard.yaml", tmp_path / "out"
    file.write_text(text, encoding="utf-8")
    plain = quick("print", str(file), "--out", str(out), "--sheet", "diagram")
    assert (plain.exit_code, out.exists()) == (status, status == 0)  # a false page is not printed unasked
    quick("print", str(file), "--out", str(out), "--sheet", "diagram", "--anyway")
    drawn = (out / "diagram.svg").read_text(encoding="utf-8")
    for k in range(1, 9):
        assert f"W{k:02d}" in drawn
    assert ("NOT PROVED" in drawn) == (status == 1)


def test_sixty_leads_in_a_small_cavity_are_all_printed_and_those_too_near_are_named(tmp_path: Path) -> None:
    file, out = tmp_path / "hard.yaml", tmp_path / "out"
    file.write_text(crowd(60), encoding="utf-8")
    words = ("print", str(file), "--json", "--anyway", "--sheet", "diagram", "--sheet", "leads", "--out", str(out))
    said = json.loads(quick(*words).stdout)
    near = {p["message"].split()[1] for p in said["problems"] if p["code"] == "RTE-101"}
    assert len(near) >= 5  # those that could not be kept clear are named one by one
    tags = {f"W{k:02d}" for k in range(1, 63)}
    with (out / "leads.csv").open(encoding="utf-8") as stream:
        assert {row["tag"] for row in csv.DictReader(stream)} == tags
    drawn = (out / "diagram.svg").read_text(encoding="utf-8")
    assert set(re.findall(r'"lead:(W\d+)"', drawn)) == tags  # a line for each
    words_of = Counter(re.findall(r">(W\d\d) \?<", drawn))
    assert all(1 <= words_of[tag] <= 2 for tag in tags)  # and a tag at each of its ends, at one of a short lead


def test_the_sheet_itself_lists_what_is_wrong_with_it_or_counts_it_and_says_where_it_is(tmp_path: Path) -> None:
    file, out = tmp_path / "hard.yaml", tmp_path / "out"
    file.write_text(CASES["a part outside"][0], encoding="utf-8")
    said = quick("print", str(file), "--out", str(out), "--json", "--anyway", "--sheet", "diagram", "--sheet", "jig")
    wrong = [p for p in json.loads(said.stdout)["problems"] if p["severity"] != "note"]
    for name, where in (("diagram", "see the sheet with the key"), ("jig", "diagramgen check hard.yaml")):
        words = " ".join(re.findall(r">([^<>]+)<", (out / f"{name}.svg").read_text(encoding="utf-8")))
        words = words.replace("&#39;", "'").replace("&apos;", "'")
        # An error comes first, in words of the bench; neither codes nor lines of the file are printed.
        assert words.index("lies behind the wall of the cavity") < words.index("turning tone changes nothing")
        assert not re.search(r"\b[A-Z]{3}-\d{3}\b", words.partition("•")[2].partition("jig")[0])
        left = re.findall(r"(\d+) more", words)
        assert words.count("•") + sum(map(int, left[:1])) == len([p for p in wrong if p["code"] != "DRW-105"])
        assert not left or where in words


def test_posts_stand_in_the_drawing_where_the_file_puts_them(tmp_path: Path) -> None:
    file = tmp_path / "hard.yaml"
    file.write_text(build(), encoding="utf-8")
    proof = examine(file)
    assert proof.layout is not None
    drawing, layout = full_size_drawing(context_of(proof))
    marks = walk(Sheet(300, 200, "", drawing.marks))
    posts = [m.path[0].box() for m in marks if isinstance(m, Shape) and m.role is Role.POST]
    shift = layout.regions["cavity"].shift
    assert len(posts) == 12
    for k, box in enumerate(posts):
        at = (62 + 16 * math.cos(k * math.pi / 6) + shift.x, 48 + 16 * math.sin(k * math.pi / 6) + shift.y)
        assert (box.centre.x, box.centre.y) == pytest.approx(at, abs=0.06)
        assert box.width == pytest.approx(9.0)
