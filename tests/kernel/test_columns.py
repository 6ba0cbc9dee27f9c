"""Columns declared once: CSV, JSON and the list in the docs follow from them."""

from __future__ import annotations

import csv
import io

import pytest

from diagramgen.kernel.columns import Column, Form, cells, column_reference, csv_names, csv_table, json_row

COLUMNS = (
    Column("a", "", "first", lambda row: row["a"], key="in.a"),
    Column("b_mm", "mm", "second", lambda row: row["b"]),
    Column("b", "", "", lambda row: [row["b"]], Form.JSON),
    Column("c", "mm", "second", lambda row: row["c"], Form.CSV, between=" "),
    Column("d", "", "first", lambda row: row["a"], key="in.d"),
    Column("check", "", "same in all", form=Form.CSV),
)


def one(**row):
    return {"a": "x", "b": 2.50, "c": ("p", "q")} | row


def test_header_cells_and_json_follow_the_order_of_the_columns():
    text = csv_table(COLUMNS, [cells(COLUMNS, one())], check="77")
    assert text == "a,b_mm,c,d,check\r\nx,2.5,p q,x,77\r\n"
    assert list(json_row(COLUMNS, one()).items()) == [("in", {"a": "x", "d": "x"}), ("b_mm", 2.5), ("b", [2.5])]


@pytest.mark.parametrize(("value", "cell"), [
    (None, ""), (True, "yes"), (False, "no"), (0, "0"), (12, "12"), (12.0, "12"), (0.125, "0.125"), (-0.0, "0"),
    ("", ""), ("x", "x"), ((), ""), (("p",), "p"), (("p", "q"), "p; q")])
def test_each_kind_of_value_has_one_form_as_a_cell(value, cell):
    assert cells([Column("a", "", "", lambda row: row)], value) == {"a": cell}


@pytest.mark.parametrize("value", [["list"], {"a": 1}, b"x", object()])
def test_a_value_without_a_form_is_an_error(value):
    with pytest.raises(TypeError, match="column 'a' holds"):
        cells([Column("a", "", "", lambda row: row)], value)


def test_several_texts_are_a_list_in_json_and_what_is_not_known_is_null():
    assert json_row([Column("a", "", "", lambda row: row)], ("p", "q")) == {"a": ["p", "q"]}
    assert json_row([Column("a", "", "", lambda row: row)], None) == {"a": None}


def test_a_row_may_leave_cells_out_but_name_no_other_column():
    assert csv_table(COLUMNS, [{"c": "z"}]).splitlines()[1] == ",,z,,"
    for row, always in (({"e": "z"}, {}), ({"b": "only in JSON"}, {}), ({}, {"e": "z"})):
        with pytest.raises(KeyError):
            csv_table(COLUMNS, [row], **always)


@pytest.mark.parametrize("bad", ["=1+1", "+x", "-x", "@x", "\t=1"])
def test_no_cell_of_a_table_is_a_formula_whatever_the_column(bad):
    """A spreadsheet works out what begins so (OWASP: CSV injection)."""
    (line,) = csv.DictReader(io.StringIO(csv_table(COLUMNS, [cells(COLUMNS, one(a=bad, c=(bad,)))], check=bad),
                                         newline=""))
    assert {line[name] for name in ("a", "c", "d", "check")} == {f"'{bad}"}


def test_the_list_in_the_docs_names_every_column_of_the_csv_once():
    assert column_reference(COLUMNS) == (
        "| column | unit | meaning |\n|---|---|---|\n| a |  | first |\n| b_mm, c | mm | second |\n| d |  | first |\n"
        "| check |  | same in all |\n")
    assert csv_names(COLUMNS) == ["a", "b_mm", "c", "d", "check"]
    assert column_reference([COLUMNS[0]]) == "| column | meaning |\n|---|---|\n| a | first |\n"
