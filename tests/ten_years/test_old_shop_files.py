"""Price files and results files of today's format are read in ten years, as builds are.

The files in the folders ``prices`` and ``results`` of ``tests/data/format-1`` are never changed, nor what was read of
them when the format was frozen. ``DIAGRAMGEN_FREEZE=1`` writes dumps that are missing; one that is there is left.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest

from diagramgen.features.price.price_file import read_prices
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.reader import upgrade
from diagramgen.reader.results import read_results
from diagramgen.yamlfile.nodes import MappingNode

FROZEN = Path(__file__).resolve().parents[1] / "data" / "format-1"
READERS: dict[str, Callable[[bytes, str, Diagnostics], Any]] = {"prices": read_prices, "results": read_results}
FILES = sorted(p for kind in READERS for p in (FROZEN / kind).glob("*.yaml"))
OLD = {"prices": "format: 0\nmoney: EUR\nhourly rate: 60\n",
       "results": "format: 0\nnumber: LL-1175\nbattery voltage: 9.4 V\n"}
"""Files of an invented format 0, which had other words for the currency and the job."""
LATER = ("at",)
"""Keys that came after the files were frozen."""
RENAMED = {"prices": {"money": "currency"}, "results": {"number": "job"}}


def read(kind: str, data: bytes) -> tuple[Any, list[tuple[str, str, int]]]:
    say = Diagnostics()
    found = READERS[kind](data, "old.yaml", say)
    return found, [(p.code, p.severity.word, p.place.line) for p in say.sorted()]


def dump(found: Any) -> str:
    """All that was read, without the name of the file, the places in it, and keys of later that it does not have."""
    def plain(value: Any) -> Any:
        if isinstance(value, dict):
            kept = {k: v for k, v in value.items() if not (k in LATER and v is None)}
            return {str(k): plain(v) for k, v in kept.items() if k not in ("file", "place")}
        return [plain(v) for v in value] if isinstance(value, list | tuple) else value

    return json.dumps(plain(asdict(found)), indent=1, ensure_ascii=False, default=str) + "\n"


@pytest.mark.parametrize("file", FILES, ids=lambda p: f"{p.parent.name}-{p.stem}")
def test_a_frozen_file_is_read_as_it_was(file: Path) -> None:
    found, said = read(file.parent.name, file.read_bytes())
    assert said == []
    kept = file.with_suffix(".txt")
    if os.environ.get("DIAGRAMGEN_FREEZE") and not kept.exists():
        kept.write_text(dump(found), encoding="utf-8", newline="\n")
    assert dump(found) == kept.read_text(encoding="utf-8")
    assert len(dump(found).splitlines()) > 20


def test_there_is_a_frozen_file_of_each_kind() -> None:
    assert {p.parent.name for p in FILES} == set(READERS)


@pytest.mark.parametrize("kind", READERS)
def test_an_older_file_is_read_as_it_was_meant(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def from_zero(root: MappingNode) -> MappingNode:
        return upgrade.renamed(root, RENAMED[kind])

    monkeypatch.setattr(upgrade, f"{kind.upper()}_STEPS", {0: from_zero})
    found, said = read(kind, OLD[kind].encode())
    assert said == [("INP-014", "note", 1)]
    assert found.currency.code == "EUR" if kind == "prices" else found.job.value == "LL-1175"


@pytest.mark.parametrize("kind", READERS)
def test_an_older_file_without_a_step_is_refused_with_one_sentence(kind: str) -> None:
    assert read(kind, OLD[kind].encode()) == (None, [("INP-014", "error", 1)])


@pytest.mark.parametrize("kind", READERS)
def test_a_newer_file_is_refused_with_one_sentence_whatever_it_holds(kind: str) -> None:
    assert read(kind, b"format: 2\nholograms: [1]\n") == (None, [("INP-014", "error", 1)])


@pytest.mark.parametrize("kind", READERS)
def test_in_a_later_program_today_s_file_passes_through_every_step(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    passed = []

    def step(root: MappingNode) -> MappingNode:
        passed.append(root)
        return root

    monkeypatch.setattr(upgrade, f"{kind.upper()}_STEPS", {1: step, 2: step})
    monkeypatch.setattr(upgrade, f"{kind.upper()}_FORMAT", 3)
    for file in (f for f in FILES if f.parent.name == kind):
        say = Diagnostics()
        found = READERS[kind](file.read_bytes(), file.name, say)
        assert [(p.code, p.severity) for p in say] == [("INP-014", Severity.NOTE)]
        assert dump(found) == file.with_suffix(".txt").read_text(encoding="utf-8")
    assert len(passed) == 2
