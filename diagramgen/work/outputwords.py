"""What the outputs of a build are called on paper: the jack, and its tip or ring where both carry a signal."""

from __future__ import annotations

from collections.abc import Sequence

from diagramgen.build.model import Build
from diagramgen.circuit.outputs import Output, named, outputs
from diagramgen.work.recordwords import plain


def output_words(build: Build, output: Output, every: Sequence[Output] | None = None) -> str:
    """``piezo out``; ``output, ring`` where the jack has two outputs. ``every``: the outputs, where they are known."""
    both = sum(one.jack == output.jack for one in (outputs(build) if every is None else every)) > 1
    says = plain(build.parts[output.jack])
    return f"{says}, {output.contact}" if both or output.contact != "tip" else says


def at_words(build: Build, lug: str) -> str:
    """``at piezo out`` for the output a wanted sound names; '' for the main output."""
    output = named(build, lug) if lug else None
    return f"at {output_words(build, output)}" if output is not None else ""
