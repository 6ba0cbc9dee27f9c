"""Tables as CSV: nothing in them is taken for a formula, and every value is read back as it was."""

from __future__ import annotations

import csv
import io

import pytest

from diagramgen.kernel.csvtext import csv_text, plain

# OWASP, "CSV Injection": a cell is a formula where it begins with one of these.
STARTS = {"equals sign": "=", "plus": "+", "minus": "-", "at sign": "@", "tab": "\t", "carriage return": "\r"}


@pytest.mark.parametrize("start", STARTS.values(), ids=STARTS.keys())
@pytest.mark.parametrize("rest", ["1+1", "cmd|' /C calc'!A0", "SUM(A1:A9)"])
def test_a_cell_that_would_be_a_formula_is_shown_as_text(start: str, rest: str) -> None:
    assert plain(start + rest) == f"'{start}{rest}"
    (head, row) = csv.reader(io.StringIO(csv_text([start + rest], [[start + rest]]), newline=""))
    assert head == row == [f"'{start}{rest}"]


@pytest.mark.parametrize("cell", ["-3.5", "+1", "-12e3", "W01", "a=b", "", " =1", "'=1", "volume.ten -> output.tip"])
def test_numbers_and_other_words_stay_as_they_are(cell: str) -> None:
    assert plain(cell) == cell


@pytest.mark.parametrize("cell", ["-inf", "+nan", "-Infinity", "-1_000", "+\u0663"])
def test_what_is_a_number_to_a_programmer_only_is_shown_as_text(cell: str) -> None:
    assert plain(cell) == f"'{cell}"


def test_lines_end_in_cr_lf_and_cells_with_a_comma_a_quote_or_a_line_end_are_quoted() -> None:
    """RFC 4180, section 2."""
    text = csv_text(["a", "b"], [['1,"2"', "x\ny"], [3, 4.5]])
    assert text == 'a,b\r\n"1,""2""","x\ny"\r\n3,4.5\r\n'
