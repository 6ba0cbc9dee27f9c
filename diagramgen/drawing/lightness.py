"""How light a shade is: for contrast on paper, and for what is left of a colour in a grey print."""

from __future__ import annotations


def luminance(shade: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 to 1 (WCAG 2.2, definition of relative luminance)."""
    parts = [int(shade[i:i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a: str, b: str) -> float:
    """Contrast ratio of two shades ``#rrggbb``, 1 to 21 (WCAG 2.2, definition of contrast ratio)."""
    light, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def lightness(shade: str) -> float:
    """CIE L* of ``#rrggbb``, 0 to 100 (CIE 15)."""
    y = luminance(shade)
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else y * 24389 / 27
