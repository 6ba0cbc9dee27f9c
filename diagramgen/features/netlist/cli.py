"""``netlist``: one state of a build for ngspice."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from diagramgen.circuit.codes import CIR_203
from diagramgen.console.report import HAS_ERRORS, report_problems


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--state", "states", multiple=True, metavar="CONTROL=POSITION,...",
              help="Positions of the switches; one that is not named stands at its first.")
@click.option("--knob", "knobs", multiple=True, metavar="NAME=0..10,...",
              help="Where knobs stand; else at 10, blends and trimmers at 5.")
@click.option("--output", "at", default="", metavar="JACK[.ring]",
              help="The output it is solved for; else the tip of the first jack.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
def netlist(build: Path, states: tuple[str, ...], knobs: tuple[str, ...], at: str, own: Path | None) -> None:
    """Write the circuit of BUILD in one state as a SPICE netlist on the standard output.

    \b
    Examples:
      diagramgen netlist baritone.yaml --state "selector=up, volume=down" > up.cir
      ngspice -b up.cir
      diagramgen netlist baritone.yaml --output output.ring > ring.cir
    """
    from diagramgen.console.arguments import output_named, pairs, positions, read, turns
    from diagramgen.features.netlist.compute import netlist_of
    from diagramgen.kernel.diagnostics import Diagnostics, Location

    say = Diagnostics({})
    made, _ = read(build, own, say)
    if made is None or say.has_errors:
        report_problems(say.sorted(), quiet=True)
        sys.exit(HAS_ERRORS)
    output = output_named(made, at)
    held = positions(made, pairs(states, "position"))
    try:
        click.echo(netlist_of(made, held, turns(made, pairs(knobs, "knob")), output), nl=False)
    except ValueError as fault:
        say.add(CIR_203, Location(made.file), str(fault))
        report_problems(say.sorted(), quiet=True)
        sys.exit(HAS_ERRORS)
