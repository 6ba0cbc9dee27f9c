"""The symbols at hand: the shipped set, and a user's own folder beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path

from diagramgen.kernel import resources
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.library.codes import (
    SYM_100,
    SYM_101,
    SYM_110,
    SYM_111,
    SYM_112,
    SYM_113,
    SYM_114,
    SYM_115,
    SYM_116,
    SYM_117,
    SYM_118,
    SYM_119,
    SYM_120,
    SYM_121,
)
from diagramgen.library.expressions import BadSum
from diagramgen.library.model import ELEMENT_FORMS, Drawing, Symbol
from diagramgen.library.outline_size import shape_of
from diagramgen.library.reader import read_symbol
from diagramgen.yamlfile.nodes import MAX_BYTES, decode, parse

CALLED_BEFORE: Mapping[str, str] = {"mode-ring": "pickup-ring-two-slides"}
"""Name of a shipped symbol in an earlier version -> its name today; files and commands may say the old one."""


def name_today(name: str) -> str:
    """The name of today of a shipped symbol that was called otherwise; any other name as it is."""
    return CALLED_BEFORE.get(name, name)


class Catalogue(Mapping[str, Symbol]):
    """Symbols by name, each read from its file when it is first asked for; an older name gives the same symbol."""

    def __init__(self, files: Mapping[str, Path], say: Diagnostics | None = None):
        self._files = dict(sorted(files.items()))
        self._read: dict[str, Symbol | None] = {}
        self.say = say if say is not None else Diagnostics()

    def __getitem__(self, name: str) -> Symbol:
        name = name_today(name)
        if name not in self._read:
            path = self._files[name]
            data = _own_bytes(path, self.say)
            self._read[name] = None if data is None else (
                _without_fault(data, path.name) or load(data, path.name, self.say))
        symbol = self._read[name]
        if symbol is None:
            raise KeyError(name)
        return symbol

    def usable(self, name: str) -> bool:
        """Whether a symbol of this name can be read; what is wrong with its file is said."""
        return self.get(name) is not None

    def file(self, name: str) -> Path:
        """The file a symbol is read from; raises ``KeyError`` for an unknown name."""
        return self._files[name_today(name)]

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


@lru_cache(maxsize=1)
def shipped_files() -> dict[str, Path]:
    """Symbol name -> file of the shipped set."""
    return {p.stem: p for p in sorted(resources.folder("symbols").glob("*.yaml"))}


def shipped() -> Catalogue:
    """The shipped set."""
    return Catalogue(shipped_files())


def with_own(folder: Path, say: Diagnostics) -> Catalogue:
    """The shipped set and the user's own symbols; a name may not hide a shipped one."""
    files = dict(shipped_files())
    for path in sorted(folder.glob("*.yaml")):
        if name_today(path.stem) in files:
            tense = "is" if path.stem in files else "was"
            say.add(SYM_120, Location(str(path)), f"'{path.stem}' {tense} the name of a shipped symbol")
        elif not _lies_in(folder, path):
            say.add(SYM_121, Location(str(path)), "this symbol is a link that leads out of the folder",
                    "Copy the symbol itself into the folder.")
        else:
            files[path.stem] = path
    return Catalogue(files, say)


def _lies_in(folder: Path, path: Path) -> bool:
    try:
        return path.resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError):  # a loop of links
        return False


def _own_bytes(path: Path, say: Diagnostics) -> bytes | None:
    """The bytes of a symbol file, as many as the reader needs to refuse one too large; None for what is no file."""
    try:
        if path.is_file():
            with path.open("rb") as stream:
                return stream.read(MAX_BYTES + 1)
        reason = "it is no file"
    except OSError as fault:
        reason = (fault.strerror or type(fault).__name__).lower()
    say.add(SYM_121, Location(path.name), f"the symbol file '{path.name}' cannot be read: {reason}",
            "Put the file itself there, and see that you may read it.")
    return None


@lru_cache(maxsize=256)
def _without_fault(data: bytes, file: str) -> Symbol | None:
    """A symbol of which nothing is to be said: the same bytes are read once, however often a build is drawn."""
    say = Diagnostics()
    symbol = load(data, file, say)
    return None if any(True for _ in say) else symbol


def load(data: bytes, file: str, say: Diagnostics) -> Symbol | None:
    """Read and check one symbol file; every fault is said, None is returned where it cannot be used."""
    text = decode(data, file, say)
    if text is None:
        return None
    node = parse(text, file, say)
    if node is None:
        if not say.has_errors:
            say.add(SYM_100, Location(file), "this symbol file is empty")
        return None
    symbol = read_symbol(node, say)
    if symbol is None:
        return None
    before = sum(1 for _ in say)
    _check(symbol, say)
    return symbol if sum(1 for _ in say) == before else None


def _check(symbol: Symbol, say: Diagnostics) -> None:
    """What a field table cannot see: names that must exist, sums that must work out."""
    place = symbol.place
    if Path(place.file).stem != symbol.name:
        say.add(SYM_110, place, f"the file is called '{place.file}' but holds '{symbol.name}'")
    lugs = set(symbol.lug_names())
    _check_lugs(symbol, symbol.drawing, say)
    if symbol.outside:
        outside = {n for p in symbol.outside.lugs for row in p.names for n in row if n}
        if outside != lugs:
            odd = ", ".join(sorted(outside ^ lugs))
            say.add(SYM_111, place, f"the outside drawing has other lugs than the true one: {odd}")
    used = [(n, "an element") for e in symbol.elements for n in e.ends.values()]
    used += [(n, "metal") for m in symbol.metal for n in m.lugs]
    used += [(n, "a contact") for t in symbol.contacts for r in t.rows for j in r.joins for n in j]
    used += [(n, "lug words") for n in symbol.lug_words]
    for name, where in used:
        if name not in lugs:
            say.add(SYM_112, place, f"{where} names the lug '{name}', which this symbol lacks",
                    nearest(name, lugs))
    _check_controls(symbol, say)
    for element in symbol.elements:
        wanted = set(ELEMENT_FORMS[element.kind].ends)
        if set(element.ends) != wanted:
            say.add(SYM_113, place, f"element '{element.name}' needs the ends {', '.join(sorted(wanted))}")
        for value in element.values.values():
            if value not in symbol.values:
                say.add(SYM_114, place, f"element '{element.name}' uses the value '{value}', which is not given",
                        nearest(value, symbol.values))
        if element.by and not symbol.control(element.by):
            say.add(SYM_115, place, f"element '{element.name}' is moved by '{element.by}', which is no control")
    for outside_too in (False, True):
        try:
            shape_of(symbol, outside=outside_too)
        except BadSum as fault:
            say.add(SYM_101, place, str(fault), nearest("", symbol.dimensions))


def _check_lugs(symbol: Symbol, drawing: Drawing, say: Diagnostics) -> None:
    names = [n for p in drawing.lugs for row in p.names for n in row if n]
    for name in sorted({n for n in names if names.count(n) > 1}):
        say.add(SYM_116, symbol.place, f"the lug '{name}' is laid out twice")
    if not names:
        say.add(SYM_117, symbol.place, "a symbol needs at least one lug")


def _check_controls(symbol: Symbol, say: Diagnostics) -> None:
    for table in symbol.contacts:
        control = symbol.control(table.control)
        if control is None:
            say.add(SYM_115, symbol.place, f"contacts are given for '{table.control}', which is no control",
                    nearest(table.control, [c.name for c in symbol.controls]))
            continue
        rows = [r.position for r in table.rows if r.between is None]
        if sorted(rows) != sorted(control.positions):
            say.add(SYM_118, symbol.place, f"the contact rows of '{table.control}' do not match its positions",
                    f"Positions: {', '.join(control.positions)}; rows: {', '.join(rows)}.")
    for word, mode in symbol.modes.items():
        for name, position in mode.items():
            control = symbol.control(name)
            if control is None or position not in control.positions:
                say.add(SYM_119, symbol.place, f"mode '{word}' uses {name}={position}, which does not exist")
    for control in symbol.controls:
        if len(control.words) != len(control.positions):
            say.add(SYM_118, symbol.place, f"'{control.name}' has {len(control.positions)} positions "
                    f"but {len(control.words)} words")
