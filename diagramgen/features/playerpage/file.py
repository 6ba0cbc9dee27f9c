"""The player's page of a build as one file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagramgen.analysis import Analysis
from diagramgen.features.playerpage.html import html_bytes
from diagramgen.features.playerpage.page import player_page
from diagramgen.sheets.context import context_of


def player_file(analysis: Analysis, states: Sequence[Mapping[str, str]] = ()) -> bytes | None:
    """The player's page as HTML, of these states or of all; None where the circuit was not solved."""
    if analysis.chart is None or analysis.layout is None:
        return None
    return html_bytes(player_page(context_of(analysis), analysis.chart, states))
