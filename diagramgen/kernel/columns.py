"""Columns of a table, declared once: its CSV, its rows as JSON and the list of columns in the documents follow."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import groupby
from typing import Any, Generic, TypeVar

from diagramgen.kernel.csvtext import csv_text
from diagramgen.kernel.units import number

Row = TypeVar("Row")


class Form(Enum):
    """In which forms of a table a column stands."""

    BOTH = auto()
    CSV = auto()
    JSON = auto()


@dataclass(frozen=True)
class Column(Generic[Row]):
    """One column: its name and order are never changed, new ones are added at the end of the CSV."""

    name: str
    unit: str
    """``mm``; empty where it is text or a plain number."""
    about: str
    """What it holds, in Markdown, without a unit. Neighbours with the same words share a line of the documents."""
    value: Callable[[Row], Any] | None = None
    """A record of the row -> text, number, truth value, several texts, or None where it is not known. No function: the
    cell is given with the row."""
    form: Form = Form.BOTH
    key: str = ""
    """Where it stands in JSON, a stop before each inner key (``from.lug``); empty: under its name."""
    between: str = "; "
    """What parts several texts in CSV."""


def cells(columns: Sequence[Column[Row]], row: Row) -> dict[str, str]:
    """Write a record as cells of CSV: column -> text.

    None is an empty cell, a truth value ``yes`` or ``no``, a number has no trailing zeros, several texts are joined.
    Raises: TypeError for a value of another kind.
    """
    return {one.name: _cell(one, one.value(row)) for one in columns
            if one.value is not None and one.form is not Form.JSON}


def _cell(column: Column[Any], value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return number(value, 3)
    if isinstance(value, (str, int)):
        return str(value)
    if isinstance(value, tuple):
        return column.between.join(value)
    raise TypeError(f"column '{column.name}' holds {value!r}, which has no form in CSV")


def csv_table(columns: Sequence[Column[Any]], rows: Iterable[Mapping[str, str]], **always: str) -> str:
    """Write rows as CSV text with a header and CR LF line ends (RFC 4180); write it without translating them.

    Parameters: rows - column -> text, as ``cells`` makes them; what a row lacks is empty; always - the cells that are
    the same in every row.
    Raises: KeyError for a cell of a column that the table lacks.
    """
    names = csv_names(columns)
    return csv_text(names, (_line(names, row, always) for row in rows))


def csv_names(columns: Sequence[Column[Any]]) -> list[str]:
    """List the header of the CSV."""
    return [one.name for one in columns if one.form is not Form.JSON]


def _line(names: Sequence[str], row: Mapping[str, str], always: Mapping[str, str]) -> list[str]:
    line = dict.fromkeys(names, "")
    for name, cell in (*row.items(), *always.items()):
        if name not in line:
            raise KeyError(name)
        line[name] = cell
    return list(line.values())


def json_row(columns: Sequence[Column[Row]], row: Row) -> dict[str, Any]:
    """Write a record as plain values for JSON, keys in the order of the columns; several texts become a list."""
    whole: dict[str, Any] = {}
    for one in columns:
        if one.value is None or one.form is Form.CSV:
            continue
        *outer, last = (one.key or one.name).split(".")
        inside = whole
        for key in outer:
            inside = inside.setdefault(key, {})
        value = one.value(row)
        inside[last] = list(value) if isinstance(value, tuple) else value
    return whole


def column_reference(columns: Sequence[Column[Any]]) -> str:
    """Write the columns of a CSV file as a table in Markdown, ending in a line feed."""
    named = [one for one in columns if one.form is not Form.JSON]
    units = any(one.unit for one in named)
    lines = ["| column | unit | meaning |", "|---|---|---|"] if units else ["| column | meaning |", "|---|---|"]
    for (about, unit), group in groupby(named, lambda one: (one.about, one.unit)):
        names = ", ".join(one.name for one in group)
        lines.append(f"| {names} | {unit} | {about} |" if units else f"| {names} | {about} |")
    return "\n".join(lines) + "\n"
