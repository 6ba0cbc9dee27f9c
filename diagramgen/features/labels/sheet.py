"""Labels on label sheets or tape: flags, wraps, sleeves, parts and bags; and the page to line a sheet up by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text
from diagramgen.features.labels.codes import LAB_404, LAB_405, LAB_406, LAB_407, LAB_408
from diagramgen.features.labels.compute import BAG, FLAG, PART, SLEEVE, WRAP, LabelWords, listed
from diagramgen.features.labels.label_stock import LabelSheet
from diagramgen.features.labels.typesetting import HEIGHTS, block, fitted, one_line
from diagramgen.kernel.codes import Code
from diagramgen.kernel.columns import Column, cells, csv_table
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Box, Point, Transform, polyline, rounded_box
from diagramgen.kernel.units import number
from diagramgen.lettering import ascent, descent, not_set
from diagramgen.sheets.scale_marks import TRUE, Correction

# A QR code as marks (ISO/IEC 18004): dark squares in mm, with the quiet zone of 4 modules kept inside its size.

QUIET = 4
"""Modules kept white on every side (ISO/IEC 18004)."""
LEAST_MODULE = 0.33
"""Smallest module that a desk printer and a telephone manage, mm (practical floor, from memory)."""


def rows_of(text: str) -> tuple[tuple[bool, ...], ...]:
    """The modules of the smallest code that holds a text, error correction M; True is dark."""
    import segno

    code = segno.make(text, error="m", micro=False, boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def side(text: str, module: float) -> float:
    """Side of the code in mm, quiet zone included."""
    return (len(rows_of(text)) + 2 * QUIET) * module


def qr_shape(text: str, at: Point, module: float, subject: str = "") -> Shape:
    """Draw a text as a QR code with the upper left corner of its quiet zone at ``at``.

    Parameters: module - side of one module, mm; subject - what the shape is drawn for.
    Returns: one shape; a run of dark modules in a row is one box.
    """
    paths = []
    for y, row in enumerate(rows_of(text)):
        x = 0
        while x < len(row):
            run = x
            while run < len(row) and row[run]:
                run += 1
            if run > x:
                left, top = at.x + (QUIET + x) * module, at.y + (QUIET + y) * module
                paths.append(rounded_box(Box(left, top, at.x + (QUIET + run) * module, top + module), 0))
            x = max(run, x + 1)
    return Shape(tuple(paths), Role.CODE, subject)


SLEEVES = (2.4, 3.2, 4.8, 6.4)
"""Inner diameters of marker sleeves before shrinking, mm (common sizes, from memory); they shrink to half."""
SEEN = 1 / 3
"""Share of the way round that is read without turning the cable (common practice, no source)."""
THIN = 1.4
"""Taken for a lead whose thickness is not known, mm."""
INSET = 1.2
"""Kept white inside a label's edge, since no sheet lies quite true, mm."""


@dataclass(frozen=True)
class LabelRun:
    """How labels are laid on sheets."""

    sheet: LabelSheet
    skip: int = 0
    """Labels of the first sheet that are used already."""
    outlines: bool = False
    module: float = 0.0
    """Side of a QR module in mm; 0 for no code."""
    job: str = ""
    checksum: str = ""
    correction: Correction = TRUE
    shift: Point = field(default_factory=lambda: Point(0.0, 0.0))

    def payload(self, words: LabelWords) -> str:
        """What a label's code holds: tag, file check and job, parted by slashes."""
        return f"{words.tag}/{self.checksum.upper()}/{self.job}"

    def cell(self, index: int) -> Box:
        """A label's place as printed: corrected about the middle of the sheet, then shifted."""
        box, whole = self.sheet.cell(index), self.sheet
        place = self.correction.place(Point(whole.width / 2, whole.height / 2)).then(
            Transform(e=self.shift.x, f=self.shift.y))
        first, last = place(Point(box.left, box.top)), place(Point(box.right, box.bottom))
        return Box(first.x, first.y, last.x, last.y)


@dataclass(frozen=True)
class LaidLabel:
    """A label on its sheet: where it is and what it says."""

    words: LabelWords
    kind: str
    sheet: int
    row: int
    column: int
    says: str
    code: str
    around: float | None
    """Size of the sleeve, or diameter of what it goes round, mm."""


class _Said:
    """Gathers labels of which the same is to be said, so that it is said once."""

    def __init__(self) -> None:
        self._found: dict[tuple[Code, str, str | None], list[LabelWords]] = {}

    def add(self, code: Code, words: LabelWords, message: str, remedy: str | None = None) -> None:
        """``message`` begins the sentence; the labels it is true of end it."""
        self._found.setdefault((code, message, remedy), []).append(words)

    def tell(self, say: Diagnostics) -> None:
        """Say everything, at the first of the labels each speaks of."""
        for (code, message, remedy), labels in self._found.items():
            say.add(code, labels[0].place, f"{message}: {listed(dict.fromkeys(w.tag for w in labels))}", remedy)


@dataclass(frozen=True)
class _Made:
    marks: list[Mark]
    says: str
    kind: str
    code: str = ""
    around: float | None = None


def laid_labels(
    labels: Sequence[LabelWords], run: LabelRun, say: Diagnostics
) -> tuple[list[Sheet], list[LaidLabel]]:
    """The sheets, and what stands where. What does not fit or cannot be set is said (LAB-404 to LAB-408)."""
    check_letters(labels, say)
    said = _Said()
    pages: list[list[Mark]] = []
    laid: list[LaidLabel] = []
    flagged = {(w.subject, w.bodies) for w in labels if w.kind == FLAG}
    for words in labels:
        page, slot = divmod(run.skip + len(laid), run.sheet.count)
        cell = run.cell(slot)
        made = _label(words, cell, run, said)
        twin = made is not None and made.kind == FLAG != words.kind and (words.subject, words.bodies) in flagged
        if made is None or twin:
            continue
        outline = [Shape((rounded_box(cell, run.sheet.corner),), Role.CROP, "label")] if run.outlines else []
        alt = f"{made.kind} {made.says}"
        while len(pages) <= page:
            pages.append([])
        pages[page].append(Group((*outline, *made.marks), words.subject, alt, Kind.FIGURE))
        row, column = divmod(slot, run.sheet.columns)
        laid.append(LaidLabel(words, made.kind, page + 1, row + 1, column + 1, made.says, made.code, made.around))
    said.tell(say)
    sheets = []
    for n, marks in enumerate(pages, 1):
        width = run.sheet.width
        if run.sheet.tape:
            used = min(run.sheet.count, run.skip + len(laid) - (n - 1) * run.sheet.count)
            width = used * run.sheet.label.x
            marks += _cuts(run, used)
        sheets.append(Sheet(width, run.sheet.height, f"labels {n}", tuple(marks), "labels"))
    return sheets, laid


def check_letters(labels: Sequence[LabelWords], say: Diagnostics) -> None:
    """Says which characters cannot be set, once a text."""
    for words in labels:
        text = " ".join((words.head, *words.bodies[0]))
        named = not_set(text)
        if named:
            say.add(LAB_404, words.place, f"the label of {words.tag} cannot be lettered: {named}")


def _label(words: LabelWords, cell: Box, run: LabelRun, said: _Said) -> _Made | None:
    inset = max(INSET, 0.3 * run.sheet.corner + 0.5)
    room = cell.grown(-inset)
    maker = {FLAG: _flag, WRAP: _wrap, SLEEVE: _sleeve, PART: _plain, BAG: _plain}[words.kind]
    made = maker(words, room, run, said)
    if made is None and words.other_head:
        made = maker(replace(words, head=words.other_head), room, run, said)
    if made is None:
        said.add(LAB_405, words, f"not even tag or name fits a {words.kind} label of {cell.width:.1f} x "
                 f"{cell.height:.1f} mm in letters of 1.8 mm")
    return made


def _shortened(words: LabelWords, wording: int, said: _Said) -> None:
    if words.bare and not words.bodies[wording]:
        said.add(LAB_406, words, "labels that say only tag and colour, since where the lead goes "
                 "does not fit them")


def _flag(words: LabelWords, room: Box, run: LabelRun, said: _Said) -> _Made | None:
    """Two halves that stick to each other behind the lead: the same on both, or words before and code behind."""
    strip = math.pi * (words.diameter or THIN) + 1.0
    half = (room.width - strip) / 2
    front = Box(room.left, room.top, room.left + half, room.bottom)
    back = Box(room.right - half, room.top, room.right, room.bottom)
    made = fitted(words, half, room.height)
    if made is None:
        return None
    _shortened(words, made.wording, said)
    marks = block(made, front, words.subject)
    coded = _code(words, back, run, said)
    marks += coded if coded else block(made, back, words.subject)
    middle = room.centre.x
    for y, reach in ((room.top - 0.6, 1.2), (room.bottom + 0.6, -1.2)):
        marks.append(Shape((polyline([Point(middle, y), Point(middle, y + reach)]),), Role.CROP, "fold"))
    return _Made(marks, made.text(), FLAG, run.payload(words) if coded else "", words.diameter)


def _wrap(words: LabelWords, room: Box, run: LabelRun, said: _Said) -> _Made | None:
    """One line along the cable, again and again round it, so that one is always seen."""
    round_ = math.pi * (words.diameter or 0.0)
    least = ascent(HEIGHTS[-1]) + descent(HEIGHTS[-1])
    if round_ * SEEN < least:
        said.add(LAB_407, words, "too thin for words wrapped round them (or of unknown thickness), so "
                 "they get flags", f"Letters of 1.8 mm wrap round {least / SEEN / math.pi:.1f} mm and more.")
        return _flag(words, room, run, said)
    made = one_line(words, room.width, round_ * SEEN)
    if made is None:
        return None
    _shortened(words, made.wording, said)
    pitch = round_ * SEEN
    count = max(1, min(3, int(room.height / pitch + 1e-9)))
    if count < 3:
        often = "twice" if count == 2 else "once"
        said.add(LAB_407, words, f"words that stand {often} round the cable, not three times, since the "
                 "labels are too low", "Take higher labels to read them from every side.")
    top = room.centre.y - count * pitch / 2
    marks: list[Mark] = []
    for i in range(count):
        base = top + (i + 0.5) * pitch + (ascent(made.height) - descent(made.height)) / 2
        marks += made.marks(Point(room.left, base), words.subject)
    return _Made(marks, made.text(), WRAP, "", words.diameter)


def sleeve_for(diameter: float) -> float | None:
    """The smallest sleeve that slides over a lead and shrinks tight on it, mm; None where none does."""
    return next((size for size in SLEEVES if size >= diameter + 0.3 and size / 2 <= diameter), None)


def _sleeve(words: LabelWords, room: Box, run: LabelRun, said: _Said) -> _Made | None:
    """A strip as wide as the flattened sleeve, with one line along it."""
    size = sleeve_for(words.diameter or THIN)
    if size is None:
        said.add(LAB_407, words, "no marker sleeve slides over them and shrinks tight, so they get "
                 "flags", "Sleeves known: " + ", ".join(f"{s:g}" for s in SLEEVES) + " mm.")
        return _flag(words, room, run, said)
    if not words.diameter:
        said.add(LAB_407, words, f"of unknown thickness, taken as {THIN:g} mm for the size of the sleeve",
                 "Say 'od' in the lead's line.")
    flat = math.pi * size / 2
    made = one_line(words, room.width - 2.0, min(flat, room.height) - 0.6)
    if made is None:
        return None
    _shortened(words, made.wording, said)
    c = room.centre
    strip = Box(room.left, c.y - flat / 2, room.right, c.y + flat / 2)
    # Tape as narrow as the sleeve is the sleeve; on anything wider the strip is cut out.
    cut = not run.sheet.tape or run.sheet.height > flat + 0.2
    marks: list[Mark] = [Shape((rounded_box(strip, 0),), Role.CROP, "sleeve")] if cut else []
    base = c.y + (ascent(made.height) - descent(made.height)) / 2
    marks += made.marks(Point(c.x - made.wide / 2, base), words.subject)
    return _Made(marks, made.text(), SLEEVE, "", size)


def _plain(words: LabelWords, room: Box, run: LabelRun, said: _Said) -> _Made | None:
    coded = _code(words, room, run, said, at_right=True)
    wide = room.width - (side(run.payload(words), run.module) if coded else 0.0)
    made = fitted(words, wide, room.height)
    if made is None:
        return None
    return _Made(block(made, room, words.subject) + coded, made.text(), words.kind, run.payload(words) if coded else "")


def _code(words: LabelWords, room: Box, run: LabelRun, said: _Said, at_right: bool = False) -> list[Mark]:
    """The code in the middle of a room or at its right; none where it does not fit (LAB-408)."""
    if not run.module:
        return []
    text = run.payload(words)
    size = side(text, run.module)
    if size > room.height or size > room.width * (0.6 if at_right else 1.0):
        said.add(LAB_408, words, f"a code of {size:.1f} x {size:.1f} mm does not fit, labels without "
                 "one", f"Take larger labels; modules of {run.module:g} mm.")
        return []
    if at_right:
        return [qr_shape(text, Point(room.right - size, room.centre.y - size / 2), run.module, words.subject)]
    # On a side of its own the tag stands above the code, where there is room: the back says it too.
    tag = one_line(LabelWords("", words.tag, words.tag, ((),)), room.width, room.height - size)
    tall = ascent(tag.height) if tag else 0.0
    c, top = room.centre, room.top + (room.height - size - tall) / 2
    marks: list[Mark] = tag.marks(Point(c.x - tag.wide / 2, top + tall), words.subject) if tag else []
    return [*marks, qr_shape(text, Point(c.x - size / 2, top + tall), run.module, words.subject)]


def _cuts(run: LabelRun, used: int) -> list[Mark]:
    """Where a strip of tape with so many labels is cut."""
    return [Shape((polyline([Point(run.cell(i).left, 0.0), Point(run.cell(i).left, run.sheet.height)]),), Role.CROP,
                  "cut") for i in range(1, used)]


def alignment_sheet(run: LabelRun) -> Sheet:
    """Outlines and crosses of every label, to be printed on plain paper and held against the label sheet."""
    sheet = run.sheet
    marks: list[Mark] = []
    for i in range(sheet.count):
        cell = run.cell(i)
        c, reach = cell.centre, min(3.0, cell.height / 4)
        row, column = divmod(i, sheet.columns)
        marks.append(Shape((rounded_box(cell, sheet.corner),), Role.CROP, "label"))
        marks.append(Shape((polyline([Point(c.x - reach, c.y), Point(c.x + reach, c.y)]),
                            polyline([Point(c.x, c.y - reach), Point(c.x, c.y + reach)])), Role.CROP, "cross"))
        at = Point(cell.right - 1.2 - 0.3 * sheet.corner, cell.bottom - 1.2)
        marks.append(Text(f"{row + 1}.{column + 1}", at, 1.8, "end", role=Role.TILE_TEXT))
    for i, words in enumerate(_how(run)[: sheet.count]):
        cell = run.cell(i)
        room = Box(cell.left + 1.5, cell.top + 1.2, cell.centre.x - 4.0, cell.bottom - 1.2)
        made = fitted(LabelWords("", "", words[0], (words[1:], ())), room.width, room.height)
        if made is not None and made.wording == 0:
            marks += block(made, room, "how")
    return Sheet(sheet.width, sheet.height, f"alignment of {sheet.name}", tuple(marks), "labels")


def _how(run: LabelRun) -> list[tuple[str, ...]]:
    sheet = run.sheet
    first, last = run.sheet.cell(0).centre, run.sheet.cell(sheet.count - 1).centre
    return [
        ("Test page", "on plain paper, unscaled"),
        ("Hold", "it on the label sheet against a lamp"),
        ("Measure", f"crosses {last.x - first.x:.1f} across", f"and {last.y - first.y:.1f} mm down"),
        ("Off?", "print again with", "--shift"),
    ]


PLACE = "which sheet, row and column it is printed in, counted from 1"
COLUMNS: tuple[Column[LaidLabel], ...] = (
    Column("sheet", "", PLACE, lambda one: one.sheet),
    Column("row", "", PLACE, lambda one: one.row),
    Column("column", "", PLACE, lambda one: one.column),
    Column("kind", "", "flag, wrap, sleeve, part or bag", lambda one: one.kind),
    Column("tag", "", "tag of the lead, name of the cable or part", lambda one: one.words.tag),
    Column("text", "", "what it says", lambda one: one.says),
    Column("round_mm", "mm", "size of the sleeve, or diameter of the lead or cable; empty where that is not known",
           lambda one: None if one.around is None else number(one.around, 1)),
    Column("code", "", "what its QR code holds; empty where it bears none", lambda one: one.code),
    Column("file_check", "", "the first 8 digits of the checksum, as on the sheets"),
)


def labels_csv(laid: Sequence[LaidLabel], checksum: str) -> str:
    """Write what stands where as CSV text (RFC 4180), a row a label; write it without translating line ends."""
    return csv_table(COLUMNS, (cells(COLUMNS, one) for one in laid), file_check=checksum)
