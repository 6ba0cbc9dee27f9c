"""The nodal core against a second way of solving: the currents of coils as unknowns, each source driven in turn."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

import numpy as np
import pytest
from circuits import built, sample
from second_solver import by_currents

from diagramgen.circuit.elements.coil import Coil
from diagramgen.circuit.elements.gain_stage import GainStage
from diagramgen.circuit.elements.piezo_source import PiezoSource
from diagramgen.circuit.elements.two_terminal import Capacitor, Resistor
from diagramgen.circuit.netlist import Elements, Netlist, netlist_of, template_of
from diagramgen.circuit.nodal import potentials, sweep, sweep_many
from diagramgen.circuit.sounds import FREQUENCIES
from diagramgen.circuit.states import each_classes, state_space

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = ["three-singles-lever", "two-pickups-toggle", "left-handed", "no-cavity", "baritone"]
SOME = FREQUENCIES[::57]


def networks(name: str) -> list[Netlist]:
    """The distinct networks of a sample's first states with its knobs at 7."""
    made = sample(SAMPLES / f"{name}.yaml")
    here = template_of(made, {"volume": 7.0})
    nets = [netlist_of(here, classes) for classes in islice(each_classes(here, state_space(made).switches), 24)]
    return list({net.key: net for net in nets if net.tip}.values())


@pytest.mark.parametrize("name", NAMES)
def test_ordinary_wirings_are_solved_as_with_currents_as_unknowns(name: str) -> None:
    nets = networks(name)
    assert nets
    for net, response in zip(nets, sweep_many(nets, SOME), strict=True):
        for i, hertz in enumerate(SOME):
            transfers, impedance = by_currents(net, float(hertz))
            assert response.sources == net.sources == tuple(transfers)
            np.testing.assert_allclose(response.transfers[i], list(transfers.values()), rtol=1e-8, atol=1e-12)
            np.testing.assert_allclose(response.impedance[i], impedance, rtol=1e-8)


def test_a_powered_stage_is_solved_as_with_currents_as_unknowns() -> None:
    net = Netlist(4, 1, Elements.of((
        GainStage("board", 2, 1, 0, 0, 1e6, 1e3, 0.0, 2.0), PiezoSource("saddle", 0, 2, 5e-10),
        Resistor("r", 2, 3, 1e5), Coil("neck", 0, 3, 6e3, 2.5), Capacitor("cable", 1, 0, 5e-10),
        Resistor("amplifier", 1, 0, 1e6))))
    response = sweep(net, SOME)
    for i, hertz in enumerate(SOME):
        transfers, impedance = by_currents(net, float(hertz))
        np.testing.assert_allclose(response.transfers[i], list(transfers.values()), rtol=1e-10)
        np.testing.assert_allclose(response.impedance[i], impedance, rtol=1e-10)
    assert abs(response.transfers).max() > 0.5


def test_a_tip_on_the_sleeve_gives_nothing_for_every_coil() -> None:
    made = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n  - output.tip -> output.sleeve\n")
    here = template_of(made)
    (response,) = sweep_many([netlist_of(here, range(here.size))], FREQUENCIES)
    assert not response.transfers.any()
    assert not response.impedance.any()


def test_several_circuits_of_one_shape_are_solved_at_once_for_direct_current() -> None:
    """1 A into two resistors in series, against ground (point 2): the sums of their ohms, of each circuit."""
    volts = potentials(3, [(0, 1, (1 / 10, 1 / 20)), (1, 2, (1 / 5, 1 / 7))], [(0, 2, 1.0)])
    np.testing.assert_allclose(volts, [[15, 5], [27, 7]])


LADDER = (Resistor("r", 0, 1, 1e3), Resistor("s", 2, 3, 1e3), Resistor("t", 0, 2, 1e3))


@pytest.mark.parametrize(("elements", "fault"), [
    ((Resistor("r", 0, 1, 1e3), Resistor("lost", 2, 3, 1e3)), "nothing ties this to ground"),
    ((*LADDER, Capacitor("c", 1, 0, 0.0)), "zero"),
    ((*LADDER, Coil("w", 0, 1, 0.0, 1.0)), "zero"),
    ((*LADDER, Coil("w", 0, 1, 1.0, -1.0)), "inductance"),
    ((*LADDER, PiezoSource("p", 0, 1, -1e-9)), "zero"),
])
def test_what_is_no_circuit_is_refused(elements: tuple, fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        sweep(Netlist(4, 1, Elements(elements), ("sleeve", "tip", "a", "b")), np.array([100.0, 1e3]))


def test_a_stage_that_feeds_itself_without_end_has_no_answer() -> None:
    """Gain 2 on its own output, input and output joined: 1/1e3 + 1/1e3 - 2/1e3 is no conductance at all."""
    stage = GainStage("board", 1, 1, 0, 0, 1e3, 1e3, 0.0, 2.0)
    with pytest.raises(ValueError, match="no single answer"):
        sweep(Netlist(2, 1, Elements((stage,)), ("sleeve", "tip")), np.array([100.0]))
