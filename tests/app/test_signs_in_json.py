"""Signs in ``sounds --json``: a sign nobody metered is null, and what such pickups usually have stands beside it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from running import LOOSE, quick


def signs(path: Path | str) -> list[tuple[int | None, int | None]]:
    result = quick("sounds", str(path), "--json")
    states = json.loads(result.stdout)["states"]
    return [(h["sign"], h["usual_sign"]) for state in states for h in state["sounding"]]


def test_a_sign_nobody_can_know_is_null_twice() -> None:
    assert signs(LOOSE) == [(None, None)]


def test_a_sign_nobody_metered_is_null_and_the_usual_one_stands_beside_it(tmp_path: Path) -> None:
    made = tmp_path / "usual.yaml"
    made.write_text("format: 1\nparts:\n  bridge: dual-coil\n  output: jack-mono-open\nleads:\n"
                    "  - bridge.a start -> output.tip\n  - bridge.a finish -> bridge.b finish\n"
                    "  - bridge.b start -> output.sleeve\n", encoding="utf-8")
    found = signs(made)
    assert [sign for sign, _ in found] == [None, None]
    assert found[0][1] is not None
    assert found[0][1] == found[1][1]


@pytest.mark.parametrize(("kick", "sign"), [("plus", 1), ("minus", -1)])
def test_a_metered_kick_is_the_sign(kick: str, sign: int, tmp_path: Path) -> None:
    made = tmp_path / "metered.yaml"
    text = Path(LOOSE).read_text(encoding="utf-8")
    made.write_text(text.replace("{symbol: single-coil,", f"{{symbol: single-coil, values: {{kick: {kick}}},"),
                    encoding="utf-8")
    assert signs(made) == [(sign, sign)]
