"""The proof sheet says what the solved states say, and nothing is in phase that nobody metered."""

from __future__ import annotations

from pathlib import Path

from sampled import proof_of

from diagramgen.circuit.coil_words import sound_words
from diagramgen.drawing.scene import Text, walk
from diagramgen.features.sounds.proof_sheet import proof_sheets
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of

ROOT = Path(__file__).parents[2]


def words(name: str) -> list[str]:
    proof = proof_of(name)
    assert proof.chart is not None
    makers = proof_sheets(proof.chart, proof.problems, context_of(proof).job, PAPERS["a4"])
    sheets = [maker(i + 1, len(makers)) for i, maker in enumerate(makers)]
    return [mark.text for sheet in sheets for mark in walk(sheet) if isinstance(mark, Text)]


def test_every_state_stands_on_the_sheet_with_its_network() -> None:
    proof = proof_of("three-singles-lever")
    assert proof.chart is not None
    found = words("three-singles-lever")
    for _, result in proof.chart.each():
        assert sound_words(result.sound, proof.build) in " ".join(found)


def test_the_file_check_of_the_diagram_stands_on_the_proof() -> None:
    proof = proof_of("one-volume")
    assert proof.checksum in words("one-volume")


def test_an_active_output_prints_no_ohms_for_its_states() -> None:
    found = words("bass-active")
    assert "no ohm test" in found
    assert not [w for w in found if w.endswith("kΩ") and " to " in w]
