"""Networks are solved by their modes, and frequency by frequency where modes are not exact enough."""

from __future__ import annotations

from collections.abc import Callable
from itertools import islice
from pathlib import Path

import numpy as np
import pytest
from circuits import built, sample

from diagramgen.circuit import nodal as solve
from diagramgen.circuit.elements import Elements, Network, Strip, Two, Winding, frame, network
from diagramgen.circuit.nodal import Response, direct, sweep, sweep_many
from diagramgen.circuit.sounds import FREQUENCIES
from diagramgen.circuit.states import each_classes, space

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = ["three-singles-lever", "two-pickups-toggle", "left-handed", "no-cavity"]


def networks(name: str) -> list[Network]:
    """The distinct networks of a sample's first states with its knobs at 7."""
    made = sample(SAMPLES / f"{name}.yaml")
    here = frame(made, {"volume": 7.0})
    nets = [network(here, classes) for classes in islice(each_classes(here, space(made).digits), 24)]
    return list({net.key: net for net in nets if net.tip}.values())


@pytest.mark.parametrize("name", NAMES)
def test_ordinary_wirings_are_solved_by_their_modes_and_alike_frequency_by_frequency(name: str) -> None:
    nets = networks(name)
    assert nets
    for net, response in zip(nets, sweep_many(nets, FREQUENCIES), strict=True):
        assert response.modal
        plain = direct(net, FREQUENCIES)
        np.testing.assert_allclose(response.transfers, plain.transfers, rtol=1e-6, atol=1e-9)
        np.testing.assert_allclose(response.impedance, plain.impedance, rtol=1e-6)


def test_networks_whose_modes_are_not_exact_enough_are_solved_frequency_by_frequency(
    monkeypatch: pytest.MonkeyPatch
) -> None:
    nets = networks("three-singles-lever")
    monkeypatch.setattr(solve, "AGREE", -1.0)  # no answer is that exact
    for net, response in zip(nets, sweep_many(nets, FREQUENCIES), strict=True):
        assert not response.modal
        plain = direct(net, FREQUENCIES)
        np.testing.assert_allclose(response.transfers, plain.transfers, rtol=1e-12)
        np.testing.assert_allclose(response.impedance, plain.impedance, rtol=1e-12)


def test_a_tip_on_the_sleeve_gives_nothing_for_every_coil() -> None:
    made = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n  - output.tip -> output.sleeve\n")
    here = frame(made)
    (response,) = sweep_many([network(here, range(here.size))], FREQUENCIES)
    assert not response.transfers.any()
    assert not response.impedance.any()


def test_networks_whose_modes_cannot_be_found_are_solved_frequency_by_frequency(
    monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise np.linalg.LinAlgError

    nets = networks("no-cavity")
    monkeypatch.setattr(solve, "_modal", fails)
    for net, response in zip(nets, sweep_many(nets, FREQUENCIES), strict=True):
        plain = direct(net, FREQUENCIES)
        assert not response.modal
        assert not plain.modal
        np.testing.assert_allclose(response.transfers, plain.transfers, rtol=1e-12)


@pytest.mark.parametrize("solver", [direct, sweep])
@pytest.mark.parametrize(("elements", "fault"), [
    (Elements((Two("r", 0, 1, 1e3), Two("lost", 2, 3, 1e3))), "nothing ties this to ground"),
    (Elements((Two("r", 0, 1, 1e3), Two("s", 2, 3, 1e3), Two("t", 0, 2, 1e3)), (Two("c", 1, 0, 0.0),)), "zero"),
    (Elements((Two("r", 0, 1, 1e3), Two("s", 2, 3, 1e3), Two("t", 0, 2, 1e3)), (), (Winding("w", 0, 1, 0.0, 1.0),)),
     "zero"),
    (Elements((Two("r", 0, 1, 1e3), Two("s", 2, 3, 1e3), Two("t", 0, 2, 1e3)), (), (Winding("w", 0, 1, 1.0, -1.0),)),
     "inductance"),
    (Elements((Two("r", 0, 1, 1e3), Two("s", 2, 3, 1e3), Two("t", 0, 2, 1e3)), (), (), (Strip("p", 0, 1, -1e-9),)),
     "zero"),
])
def test_both_ways_of_solving_refuse_what_is_no_circuit(
    solver: Callable[..., Response], elements: Elements, fault: str
) -> None:
    with pytest.raises(ValueError, match=fault):
        solver(Network(4, 1, elements, ("sleeve", "tip", "a", "b")), np.array([100.0, 1e3]))
