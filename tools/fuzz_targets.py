"""What is fuzzed: each target takes bytes and says whether YAML (or XML) read them and whether they were taken."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Protocol

from diagramgen.circuit.measured_values import metered
from diagramgen.circuit.proof import prove
from diagramgen.circuit.rules.connections import check_connections
from diagramgen.features.labels.label_stock import READY, read_label_sheet
from diagramgen.features.price.price_file import read_prices
from diagramgen.kernel import units
from diagramgen.kernel.colours import parse_colour
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import load, shipped
from diagramgen.reader.reader import read_build
from diagramgen.reader.results import read_results
from diagramgen.reader.svg_outline import BadSvg, bounds, read_svg
from diagramgen.reader.svg_path import BadPath
from diagramgen.yamlfile.nodes import MappingNode, decode, parse


class Target(Protocol):
    """Something that reads bytes."""

    seeds: list[bytes]

    def run(self, data: bytes) -> tuple[bool, bool]:
        """Read them; returns whether they got past YAML and whether they were accepted. Raises on a fault."""


def sound(say: Diagnostics, data: bytes, taken: bool) -> None:
    """What is refused is refused with a problem; every problem has words, a file, and a line the file has."""
    if not taken and not say.has_errors:
        raise AssertionError("refused without a word")
    lines = len(data.decode("utf-8", "replace").splitlines()) + data.count(b"\r") + 2
    for problem in say.sorted():
        if not problem.text().strip() or not problem.place.file or not problem.message.strip():
            raise AssertionError(f"a problem without words or place: {problem}")
        if "Traceback" in problem.message or (problem.place.file == "x.yaml" and problem.place.line > lines):
            raise AssertionError(f"a problem with a false place: {problem}")


def past_yaml(data: bytes) -> bool:
    """Whether the YAML reader makes a group of keys of it."""
    text = decode(data, "x", Diagnostics())
    return text is not None and isinstance(parse(text, "x", Diagnostics()), MappingNode)


class _Build:
    """Build reader, rules of the circuit, solver."""

    def __init__(self, root: Path, folder: Path):
        self.folder, self.symbols = folder / "samples", shipped()
        shutil.copytree(root / "samples", self.folder)
        for outline in (root / "tests" / "bad_builds" / "outlines").glob("*.svg"):
            shutil.copy(outline, self.folder)
        small = [p for p in (root / "tests" / "bad_builds").glob("*.yaml") if p.stat().st_size < 3000]
        tiny = root / "tests" / "helpers" / "tiny.yaml"
        good = sorted((tiny, *(root / "samples").glob("*.yaml")), key=lambda p: (p.stat().st_size, p.name))
        # Faults alone would teach little: sound builds come as often as faulty ones, and small ones oftener.
        self.seeds = [p.read_bytes() for p in (*good[:6] * 16, *good, *sorted(small))]

    def run(self, data: bytes) -> tuple[bool, bool]:
        """Read, check and solve."""
        past = past_yaml(data)
        say = Diagnostics()
        build = read_build(data, "x.yaml", Sources(self.folder), self.symbols, say)
        sound(say, data, build is not None)
        if build is None:
            return past, False
        # With errors the rules are asked all the same: what can be said is said in one run.
        check_connections(build, say)
        if say.has_errors:
            return past, False
        prove(build, say)
        sound(say, data, True)
        return past, True


class _Value:
    """Every reader of a value or a colour."""

    def __init__(self, root: Path, folder: Path):
        self.seeds = [b"500k", b"4k7", b"473J", b"1 1/2 in", b"0.022 uF", b"12.5", b"BK/WH"]
        kinds = (units.RESISTANCE, units.CAPACITANCE, units.INDUCTANCE, units.FREQUENCY, units.VOLTAGE, units.CURRENT)
        self.readers: list[Callable[[str], object]] = [
            *(lambda text, kind=kind: units.read_quantity(text, kind) for kind in kinds),
            units.read_length, lambda text: units.read_length(text, allow_negative=True), units.read_number]

    def run(self, data: bytes) -> tuple[bool, bool]:
        """Read it as everything it might be."""
        text, taken = data.decode("utf-8", "replace"), False
        for reader in self.readers:
            try:
                value = reader(text)
            except units.BadValue as fault:
                if not str(fault):
                    raise AssertionError("refused without a word") from fault
                continue
            taken = True
            if not isinstance(value, float) or not -1e10 < value < 1e10:
                raise AssertionError(f"{text!r} is read as {value!r}")
        with suppress(ValueError):
            parse_colour(text)
        return True, taken


class _Svg:
    """Outlines in SVG files."""

    def __init__(self, root: Path, folder: Path):
        self.seeds = [p.read_bytes() for p in sorted((root / "tests" / "bad_builds" / "outlines").glob("*.svg"))]
        self.seeds.append(b'<svg xmlns="http://www.w3.org/2000/svg"><g transform="rotate(30)"><path id="a" '
                          b'd="M0 10A10 10 0 0 1 10 0H80c1 2 3 4 5 6V50q-9 9 -20 2 t-5 -5 S3 9 0 50Z"/></g></svg>')

    def run(self, data: bytes) -> tuple[bool, bool]:
        """Read the outline and put a box round it."""
        try:
            path = read_svg(data.decode("utf-8", "replace"))
        except BadSvg as fault:
            return fault.code.id != "INP-030", False
        except BadPath:
            return True, False
        box = bounds(path)
        if not all(-1e30 < v < 1e30 for v in (box.left, box.top, box.right, box.bottom)):
            raise AssertionError(f"an outline without end: {box}")
        return True, True


class _Symbol:
    """Symbol files."""

    def __init__(self, root: Path, folder: Path):
        self.seeds = [p.read_bytes() for p in sorted((root / "symbols").glob("*.yaml"))]

    def run(self, data: bytes) -> tuple[bool, bool]:
        """Read and check it."""
        say, name = Diagnostics(), b"x"
        if b"symbol:" in data:
            name = data.split(b"symbol:", 1)[1].split(b"\n", 1)[0].strip().strip(b"'\"")
        symbol = load(data, name.decode("utf-8", "replace") + ".yaml", say)
        sound(say, data, symbol is not None)
        return past_yaml(data), symbol is not None


class _Results:
    """Files of readings, held against a build."""

    def __init__(self, root: Path, folder: Path):
        self.seeds = [p.read_bytes() for p in sorted((root / "samples" / "results").glob("*.yaml"))]
        path = root / "samples" / "baritone.yaml"
        build = read_build(path.read_bytes(), "b.yaml", Sources(path.parent), shipped(), Diagnostics())
        assert build is not None
        self.build = build

    def run(self, data: bytes) -> tuple[bool, bool]:
        """Read it and hold it against the build."""
        say = Diagnostics()
        results = read_results(data, "x.yaml", say)
        sound(say, data, results is not None)
        if results is not None:
            metered(self.build, results, say)
            sound(say, data, True)
        return past_yaml(data), not say.has_errors


class _Prices:
    """Price files."""

    def __init__(self, root: Path, folder: Path):
        self.seeds = [p.read_bytes() for p in sorted((root / "samples" / "prices").glob("*.yaml"))]

    def run(self, data: bytes) -> tuple[bool, bool]:
        """Read it."""
        say = Diagnostics()
        prices = read_prices(data, "x.yaml", say)
        sound(say, data, prices is not None)
        return past_yaml(data), prices is not None


class _Labels:
    """Label sheets of the user's own."""

    def __init__(self, root: Path, folder: Path):
        self.seeds = [p.read_bytes() for p in sorted(READY.glob("*.yaml"))]

    def run(self, data: bytes) -> tuple[bool, bool]:
        """Read it."""
        say = Diagnostics()
        sheet = read_label_sheet(data, "x.yaml", say)
        sound(say, data, sheet is not None)
        return past_yaml(data), sheet is not None


TARGETS: dict[str, Callable[[Path, Path], Target]] = {
    "build": _Build, "value": _Value, "svg": _Svg, "symbol": _Symbol, "results": _Results, "prices": _Prices,
    "labels": _Labels,
}
