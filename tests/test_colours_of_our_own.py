"""The colours of sheets, pages and terminal stand in one place, and hold what they are for."""

from __future__ import annotations

import ast
import itertools
import re
from pathlib import Path

import pytest
from coloraide import Color

from diagramgen.kernel import tokens
from diagramgen.kernel.codes import Severity

ROOT = Path(__file__).resolve().parent.parent
HEX = re.compile(r"#(?:[0-9a-fA-F]{6}|[0-9a-fA-F]{3})\b")
STYLES = {p.name: p.read_text(encoding="utf-8") for p in (ROOT / "diagramgen").rglob("*.css")}
"""What the pages look like; their colours are put before it where a page is written."""
OURS = {name: value for name, value in vars(tokens).items() if isinstance(value, str) and HEX.fullmatch(value)}
ON = {"paper", "panel", "head", "error-ground", "warning-ground", "pale-accent", "picked"}
READ = [("ink", ground) for ground in sorted(ON)] + [
    ("muted", "paper"), ("muted", "panel"), ("muted", "head"), ("deep-accent", "paper"), ("deep-accent", "panel"),
    ("paper", "deep-accent"), ("paper", "error"), ("error-ink", "paper"), ("error-ink", "error-ground"),
    ("warning-ink", "warning-ground"), ("muted", "picked")]
SEEN = ("edge", "accent", "error", "warning")


def written_colours(source: str) -> list[str]:
    """Colours written out in a program, but for the shades of insulation: those are the trade's."""
    tree = ast.parse(source)
    wires = {node for call in ast.walk(tree) if isinstance(call, ast.Call) and isinstance(call.func, ast.Name)
             and call.func.id == "Shade" for node in ast.walk(call)}
    return [found for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)
            and node not in wires for found in HEX.findall(node.value)]


def programs() -> list[Path]:
    return sorted(p for top in ("diagramgen", "tools", "benchmarks") for p in (ROOT / top).rglob("*.py")
                  if p != ROOT / "diagramgen" / "kernel" / "tokens.py")


def test_no_colour_but_of_insulation_is_written_outside_the_tokens() -> None:
    found = {str(p.relative_to(ROOT)): said for p in programs() if (said := written_colours(p.read_text("utf-8")))}
    assert found == {}
    assert written_colours('a = Shade("#123456", "#000000"); b = "border: 1px solid #abc"') == ["#abc"]


@pytest.mark.parametrize("style", sorted(STYLES))
def test_a_style_writes_no_colour_and_uses_no_name_that_is_not_defined(style: str) -> None:
    text = STYLES[style]
    assert HEX.findall(text) == []
    assert re.findall(r"\b(?:rgb|hsl|oklch)a?\(", text) == []
    assert used(text) <= set(tokens.ON_PAGES) | {"zoom", "advice"}


def used(text: str) -> set[str]:
    return set(re.findall(r"var\(--([a-z-]+)", text))


def test_every_colour_of_the_pages_is_used_by_one() -> None:
    assert set(tokens.ON_PAGES) == used("".join(STYLES.values())) - {"zoom", "advice"}


@pytest.mark.parametrize(("ink", "ground"), READ)
def test_what_is_read_on_a_page_stands_at_4_5_to_1(ink: str, ground: str) -> None:
    """WCAG 2.2 SC 1.4.3 (W3C), reckoned by a colour library."""
    assert Color(tokens.ON_PAGES[ink]).contrast(tokens.ON_PAGES[ground], method="wcag21") >= 4.5


@pytest.mark.parametrize("name", SEEN)
def test_what_is_seen_on_a_page_stands_at_3_to_1(name: str) -> None:
    """WCAG 2.2 SC 1.4.11 (W3C)."""
    assert Color(tokens.ON_PAGES[name]).contrast(tokens.PAPER, method="wcag21") >= 3


def test_no_two_curves_of_a_chart_are_alike_to_any_eye_and_each_can_be_read_on_paper() -> None:
    """CIEDE2000 of 8 and more: our own figure (about 1 is just noticed side by side, which is from memory)."""
    assert all(Color(one).contrast(tokens.PAPER, method="wcag21") >= 4.5 for one in tokens.SERIES)
    for eye in ("", "protan", "deutan", "tritan"):
        seen = [Color(one).filter(eye, 1.0, method="machado", out_space="srgb").clip() if eye else Color(one)
                for one in tokens.SERIES]
        nearest = min(a.delta_e(b, method="2000") for a, b in itertools.combinations(seen, 2))
        assert nearest >= 8, eye


def test_in_a_grey_print_the_picked_and_the_plain_are_told_apart() -> None:
    for strong, pale in (("deep-accent", "paper"), ("accent", "pale-accent"), ("error", "error-ground"),
                         ("warning", "warning-ground")):
        light = [Color(tokens.ON_PAGES[name]).convert("lab-d65")["l"] for name in (strong, pale)]
        assert abs(light[0] - light[1]) >= 30, strong


def test_each_severity_has_its_colour_on_the_terminal() -> None:
    assert set(tokens.TERMINAL) == {severity.word for severity in Severity}


def test_one_colour_has_one_name() -> None:
    assert len(OURS) > 40
    names: dict[str, list[str]] = {}
    for name, value in OURS.items():
        names.setdefault(value, []).append(name)
    assert {value: said for value, said in names.items() if len(said) > 1} == {}
