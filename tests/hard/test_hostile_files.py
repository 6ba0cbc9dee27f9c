"""Files made to harm: each is a problem at its place, soon, in little memory, and nothing outside is read or shown."""

from __future__ import annotations

import io
import os
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from diagramgen.analysis import examine
from diagramgen.features.labels.label_stock import read_label_sheet
from diagramgen.features.price.price_file import read_prices
from diagramgen.kernel.diagnostics import Diagnostics, Location, Problem
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import load, shipped, with_own
from diagramgen.reader.reader import read_build
from diagramgen.reader.results import read_results
from diagramgen.reader.svg_outline import BadSvg, read_svg
from diagramgen.reader.svg_path import BadPath
from diagramgen.reader.work_record import upright
from diagramgen.yamlfile.nodes import MAX_BYTES

SECRET = "the-secret-of-the-house"
READERS: dict[str, Callable[[bytes, Diagnostics], object]] = {
    "build": lambda data, say: read_build(data, "x.yaml", Sources(), shipped(), say),
    "results": lambda data, say: read_results(data, "x.yaml", say),
    "prices": lambda data, say: read_prices(data, "x.yaml", say),
    "symbol": lambda data, say: load(data, "x.yaml", say),
    "labels": lambda data, say: read_label_sheet(data, "x.yaml", say),
}
LAUGHS = "a0: &a0 [lol, lol]\n" + "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 12))
FILES = {
    "alias bomb": LAUGHS.encode(),
    "merge bomb": b"a: &a {x: 1}\n" + b"".join(b"b%d: {<<: *a}\n" % n for n in range(2000)),
    "brackets in brackets": b"parts: " + b"[" * 60_000,
    "braces in braces": b"a: " + b"{a: " * 60_000,
    "blocks in blocks": b"\n".join(b" " * n + b"a:" for n in range(300)),
    "lists in a line": b"- " * 100_000 + b"a",
    "an endless number": b"format: 1\nparts:\n  a: pot-24, " + b"9" * 300_000 + b"k\n",
    "an endless word": b"a" * 500_000 + b": 1\n",
    "a million entries": b"parts: [" + b"a," * 400_000 + b"]",
    "as many keys": b"".join(b"k%d: 1\n" % n for n in range(60_000)),
    "an object of the language": b"a: !!python/object/apply:os.system ['touch harmed']\n",
    "a tag of a far host": b"%TAG ! tag:example.invalid,2000:\n---\na: !evil 1\n",
    "too large": b"# " + b"x" * (MAX_BYTES + 10),
    "no text": b"\x7fELF\0\0\0" * 100,
    "half a letter": b"title: \xf0\x9f\n",
    "wide letters": "title: x\n".encode("utf-16"),
    "a quote without end": b"title: '" + b"x\n" * 100_000,
    "escapes": b'title: "' + b"\\x00" * 1000 + b'"\n',
}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("kind", FILES)
def test_a_file_made_to_harm_is_refused_at_a_place_soon_and_in_little_memory(kind: str, reader: str) -> None:
    say = Diagnostics()
    tracemalloc.start()
    begin = time.process_time()
    READERS[reader](FILES[kind], say)
    took, (_, peak) = time.process_time() - begin, tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert say.has_errors
    for problem in say.sorted():
        assert problem.place.file == "x.yaml"
        assert problem.message
        assert len(problem.text()) < 3000, problem.text()[:300]
    assert took < 20  # the tracing of memory alone makes it ten times as slow; without it it is a second at most
    assert peak < 300_000_000
    assert len(list(say)) < 5000


NAMES = {
    "absolute": "{outside}/secret", "out of it": "../secret", "in and out": "sub/../../secret",
    "of another system": "C:\\secret", "a share": "\\\\host\\secret", "out by other strokes": "..\\secret",
    "a link out": "link", "a file in a linked folder": "away/secret", "a loop of links": "loop", "a pipe": "pipe",
    "a folder": "sub", "a device": "/dev/zero", "a link to a device": "zero", "not there": "gone",
    "too long": "n" * 5000,
}
PLACES = {
    "as found": ("as found: {name}", 3), "changes to": ("changes to: {name}", 3), "results": ("results: {name}", 3),
    "prices": ("prices: {name}", 3), "outline": ("cavity:\n  shape: {{svg: {name}, width: 90}}", 4),
    "photograph": ("record:\n  asked: x\n  photographs:\n    - file: {name}", 6),
}
BUILD = """\
format: 1
title: a hostile one
{line}
parts:
  coil: {{symbol: single-coil}}
  output: jack-mono-open
leads:
  - coil.start -> output.tip
  - coil.finish -> output.sleeve
"""


def house(folder: Path) -> Path:
    """A folder of a build with a secret beside it, and ways to it inside."""
    inside = folder / "inside"
    (inside / "sub").mkdir(parents=True)
    (folder / "secret").write_text(f"{SECRET}: 1\n", encoding="utf-8")
    (inside / "link").symlink_to(folder / "secret")
    (inside / "away").symlink_to(folder)
    (inside / "loop").symlink_to(inside / "loop")
    (inside / "zero").symlink_to("/dev/zero")
    os.mkfifo(inside / "pipe")
    return inside


def said_of(path: Path, key: str) -> tuple[Problem, ...]:
    proof = examine(path)
    if key != "prices":
        return proof.problems
    from diagramgen.features.price.papers import priced

    say = Diagnostics(proof.texts)
    priced(proof, None, say)
    return (*proof.problems, *say.sorted())


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="missing: pipes")
@pytest.mark.parametrize("key", PLACES)
@pytest.mark.parametrize("name", NAMES)
def test_a_reference_out_of_the_folder_is_a_problem_at_its_line(name: str, key: str, tmp_path: Path) -> None:
    inside = house(tmp_path)
    line, number = PLACES[key]
    written = NAMES[name].format(outside=tmp_path)
    path = inside / "build.yaml"
    text = BUILD.format(line=line.format(name=f"'{written}'"))
    # A file of changes has no parts and leads of its own.
    path.write_text(text.split("parts:")[0] if key == "changes to" else text, encoding="utf-8")
    problems = said_of(path, key)
    wanted = {"INP-020", "INP-021", "INP-022", "INP-023", "INP-024", "INP-102", "INP-104"}
    found = [p for p in problems if p.place.line == number and p.place.file == str(path) and p.code in wanted]
    assert found, [p.text() for p in problems]
    assert SECRET not in "".join(p.text() for p in problems)


SVG_HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="9" height="9">'
GOOD_SHAPE = '<path d="M0 0H90V60H0Z"/>'
ENTITIES = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
SVGS = {
    "billion laughs": f'<!DOCTYPE svg [<!ENTITY l0 "lol">{ENTITIES}]>{SVG_HEAD}<text>&l9;</text>{GOOD_SHAPE}</svg>',
    "an entity of a file": f'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>{SVG_HEAD}&x;{GOOD_SHAPE}</svg>',
    "a parameter entity": f'<!DOCTYPE svg [<!ENTITY % p SYSTEM "http://example.invalid/">%p;]>{SVG_HEAD}</svg>',
    "a far DTD": f'<!DOCTYPE svg SYSTEM "http://example.invalid/x.dtd">{SVG_HEAD}{GOOD_SHAPE}</svg>',
    "a script": f"{SVG_HEAD}<script>alert(1)</script>{GOOD_SHAPE}</svg>",
    "a script by another prefix": '<s:svg xmlns:s="http://www.w3.org/2000/svg"><s:script/></s:svg>',
    "an event": f'{SVG_HEAD}<path onload="x()" d="M0 0H90V60H0Z"/></svg>',
    "a far picture": f'{SVG_HEAD}<image href="http://example.invalid/x.png"/>{GOOD_SHAPE}</svg>',
    "a link to a file": f'{SVG_HEAD}<a xlink:href="file:///etc/passwd">{GOOD_SHAPE}</a></svg>',
    "a fill of a far file": f'{SVG_HEAD}<path fill="url(http://example.invalid/#a)" d="M0 0H90V60H0Z"/></svg>',
    "a style of a far file": f"{SVG_HEAD}<style>@import 'http://example.invalid/x.css';</style>{GOOD_SHAPE}</svg>",
    "a style sheet": f'<?xml-stylesheet href="http://example.invalid/x.css"?>{SVG_HEAD}{GOOD_SHAPE}</svg>',
    "a page inside": f"{SVG_HEAD}<foreignObject><iframe/></foreignObject>{GOOD_SHAPE}</svg>",
    "the same over and over": f'{SVG_HEAD}<g id="a"><use href="#a"/></g>{GOOD_SHAPE}</svg>',
    "groups in groups": SVG_HEAD + "<g>" * 50_000,
    "a number without end": f'{SVG_HEAD}<path d="M0 0H1{"0" * 500}V60H0Z"/></svg>',
    "an infinite turn": f'{SVG_HEAD}<path transform="rotate(1e999)" d="M0 0H90V60H0Z"/></svg>',
    "scales upon scales": SVG_HEAD + '<g transform="scale(99999)">' * 60 + GOOD_SHAPE,
    "half a file": f"{SVG_HEAD}<path d='M0 0H90V",
}


@pytest.mark.parametrize("kind", SVGS)
def test_an_svg_file_made_to_harm_is_refused_soon(kind: str) -> None:
    begin = time.process_time()
    with pytest.raises((BadSvg, BadPath)) as caught:
        read_svg(SVGS[kind])
    assert str(caught.value)
    assert "root:" not in str(caught.value)
    assert time.process_time() - begin < 2


def test_an_outline_of_very_many_points_is_refused_or_read_within_two_seconds(tmp_path: Path) -> None:
    points = " ".join(f"L{n % 90} {n % 61}" for n in range(150_000))
    (tmp_path / "o.svg").write_text(f'{SVG_HEAD}<path d="M0 0 {points} Z"/></svg>', encoding="utf-8")
    path = tmp_path / "b.yaml"
    path.write_text(BUILD.format(line="cavity:\n  shape: {svg: o.svg, width: 90}"), encoding="utf-8")
    begin = time.process_time()
    say = Diagnostics()
    read_build(path.read_bytes(), str(path), Sources(tmp_path), shipped(), say)
    assert say.has_errors
    assert time.process_time() - begin < 2


def bomb(kind: str) -> bytes:
    """A small file that is a very large picture."""
    from PIL import Image

    out = io.BytesIO()
    if kind == "jpeg":
        Image.new("L", (16_000, 16_000)).save(out, "JPEG", quality=10)
    else:
        Image.new({"png": "RGB", "grey": "L", "palette": "P", "bits": "1", "clear": "RGBA"}[kind], (7_700, 7_700)).save(
            out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize("kind", ["png", "palette", "clear", "bits", "jpeg"])
def test_a_picture_made_to_fill_the_memory_is_left_out(kind: str, tmp_path: Path) -> None:
    import resource

    data, say = bomb(kind), Diagnostics()
    assert len(data) < 5_000_000
    number = os.fork()
    if number == 0:
        status = 1
        try:
            before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            photograph = upright(data, "x.png", "", Location("x.yaml", 3, 5), say)
            grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
            codes = [(p.code, p.place.line) for p in say]
            status = 0 if photograph is None and codes == [("REC-513", 3)] and grown < 300_000 else 2
        finally:
            os._exit(status)
    assert os.waitpid(number, 0)[1] == 0


@pytest.mark.parametrize("size", [(5000, 4000), (4000, 6000)])
def test_a_photograph_of_a_good_camera_takes_less_than_300_mb(size: tuple[int, int]) -> None:
    import resource

    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", size, "wheat").save(out, "PNG")
    number = os.fork()
    if number == 0:
        status = 1
        try:
            before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            photograph = upright(out.getvalue(), "x.png", "", Location("x.yaml", 3, 5), Diagnostics())
            grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
            status = 0 if photograph is not None and grown < 300_000 else 2
        finally:
            os._exit(status)
    assert os.waitpid(number, 0)[1] == 0


SYMBOLS = {
    "a link out": lambda place, outside: place.symlink_to(outside),
    "a loop": lambda place, outside: place.symlink_to(place),
    "a folder": lambda place, outside: place.mkdir(),
    "a pipe": lambda place, outside: os.mkfifo(place),
    "a link to a device": lambda place, outside: place.symlink_to("/dev/zero"),
    "a huge one": lambda place, outside: os.truncate(os.open(place, os.O_CREAT | os.O_WRONLY), 500_000_000),
    "an alias bomb": lambda place, outside: place.write_bytes(LAUGHS.encode()),
    "an object": lambda place, outside: place.write_bytes(FILES["an object of the language"]),
    "no text": lambda place, outside: place.write_bytes(b"\0" * 100),
    "empty": lambda place, outside: place.write_bytes(b""),
}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="missing: pipes")
@pytest.mark.parametrize("kind", SYMBOLS)
def test_a_symbol_of_ones_own_made_to_harm_is_a_problem(kind: str, tmp_path: Path) -> None:
    inside = house(tmp_path)
    own = tmp_path / "own"
    own.mkdir()
    SYMBOLS[kind](own / "evil.yaml", tmp_path / "secret")
    path = inside / "build.yaml"
    path.write_text(BUILD.format(line="note: x").replace("jack-mono-open", "evil"), encoding="utf-8")
    proof = examine(path, own)
    assert proof.has_errors
    assert {"SYM-121", "SYM-100", "INP-001", "INP-002", "INP-010", "INP-101"} & {p.code for p in proof.problems}
    assert SECRET not in "".join(p.text() for p in proof.problems)


def test_a_symbol_of_ones_own_that_hides_a_shipped_one_is_a_problem(tmp_path: Path) -> None:
    (tmp_path / "pot-24.yaml").write_text("symbol: pot-24\n", encoding="utf-8")
    say = Diagnostics()
    known = with_own(tmp_path, say)
    assert [p.code for p in say] == ["SYM-120"]
    assert known.file("pot-24") == shipped().file("pot-24")
