"""The lists of columns in the docs are those the CSV files are written from."""

from __future__ import annotations

import importlib.util
import pkgutil
from importlib import import_module
from pathlib import Path

import pytest

import diagramgen.features
from diagramgen.kernel.columns import Column, Form

ROOT = Path(__file__).resolve().parents[2]


def reference():
    spec = importlib.util.spec_from_file_location("make_reference", ROOT / "tools" / "make_reference.py")
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


MADE = reference()


@pytest.mark.parametrize("page", sorted({page for page, *_ in MADE.TABLES}))
def test_the_docs_list_the_columns_that_are_written(page):
    text = (ROOT / "docs" / page).read_text(encoding="utf-8")
    assert MADE.with_columns(page, text) == text, "run: python tools/make_reference.py"


def test_every_table_of_columns_is_listed_in_the_docs_and_says_what_each_holds():
    found = set()
    for module in pkgutil.walk_packages(diagramgen.features.__path__, "diagramgen.features."):
        if module.name.rpartition(".")[2] not in ("export", "sheet"):
            continue
        for name, value in vars(import_module(module.name)).items():
            if isinstance(value, tuple) and value and all(isinstance(one, Column) for one in value):
                found.add((module.name, name))
                assert all(one.about for one in value if one.form is not Form.JSON)
    assert found == {(module, name) for _, _, module, name in MADE.TABLES}
