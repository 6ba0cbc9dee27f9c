"""Every kind of element keeps the protocol: found by its file, mapped, stamped alike in one netlist and in a batch."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from diagramgen.circuit.elements.element import Element, ElementContext
from diagramgen.circuit.elements.registry import KINDS
from diagramgen.circuit.netlist import Elements, Netlist
from diagramgen.circuit.nodal import Equations, equations, sweep
from diagramgen.circuit.values import ASSUMED
from diagramgen.diagnosis.batch import BatchEquations
from diagramgen.library.model import ELEMENT_FORMS

S = 2j * np.pi * 1000.0


def placed(kind: str) -> list[Element]:
    """The elements of a kind with typical values, its ends on nets 1, 2, 3 ..."""
    nets = {end: i + 1 for i, end in enumerate(ELEMENT_FORMS[kind].ends)}
    of = ElementContext("it", "it", nets, lambda p: ASSUMED[kind, p], lambda: 0.3, lambda a, b: None)
    return list(KINDS[kind].place(of))


def every() -> Iterator[Element]:
    for kind in KINDS:
        yield from placed(kind)


def test_a_kind_is_found_for_every_word_of_symbol_files_but_link_which_is_a_joint() -> None:
    assert set(KINDS) == set(ELEMENT_FORMS) - {"link"}


@pytest.mark.parametrize("e", list(every()), ids=lambda e: f"{type(e).__name__} {getattr(e, 'what', '')}".strip())
def test_an_element_keeps_the_protocol(e: Element) -> None:
    points = set(e.nodes())
    assert {net for pair in e.paths() for net in pair} <= points
    assert {net for branch in e.branches() for net in (branch.a, branch.b)} <= points
    assert set(e.rails()) | set(e.drives()) <= points
    assert e.conducts_dc() == bool(e.fed() or e.battery() or any(b.ohm for b in e.branches()))
    moved = e.mapped([0, 5, 6, 7, 8])
    assert moved is not None
    assert moved.nodes() == tuple(net + 4 for net in e.nodes())
    if len(points) == 2:
        assert e.mapped([0, 5, 5, 5, 5]) is None
    e.check()


@pytest.mark.parametrize("e", [e for e in every() if e.battery() is None],
                         ids=lambda e: f"{type(e).__name__} {getattr(e, 'what', '')}".strip())
def test_an_element_writes_the_same_into_one_netlist_and_into_a_batch_of_them(e: Element) -> None:
    (whole,) = equations(Netlist(5, 1, Elements((e,))), np.array([S])).matrices()
    batch = np.zeros((2, 5, 5), dtype=complex)
    e.stamp(BatchEquations(batch, S, np.arange(2)), [np.full(2, net) for net in e.nodes()])
    np.testing.assert_allclose(batch[0, 1:, 1:], whole, rtol=1e-12, atol=1e-20)
    np.testing.assert_array_equal(batch[0], batch[1])


def test_only_what_sounds_gives_a_transfer() -> None:
    found = Elements.of(e for e in every() if e.battery() is None)
    net = Netlist(2, 1, Elements(tuple(moved for e in found if (moved := e.mapped([0, 1, 0, 0, 0])) is not None)))
    assert sweep(net, np.array([100.0])).sources == tuple(e.name for e in net.elements if e.sounds) == ("it", "it")


@pytest.mark.parametrize("make", [
    lambda: Equations(5, np.array([S])), lambda: BatchEquations(np.zeros((1, 5, 5), dtype=complex), S, np.arange(1))])
def test_coupled_windings_are_what_the_modified_nodal_analysis_gives_with_their_currents_as_unknowns(make) -> None:
    """Two windings, 1-2 and 3-0, k = 0.9: the Schur complement of the rows of their currents, written out here."""
    ohms, henries = [2e3, 50.0], [[100.0, 9.0], [9.0, 1.0]]
    made = make()
    pairs = [(1, 2), (3, 0)]
    if isinstance(made, Equations):
        made.windings(pairs, ohms, henries, ["one", None])
        found = made.matrices()[0]
        ((name, (first, second)),) = made.sources
        assert name == "one"
    else:
        made.windings([(np.array([a]), np.array([b])) for a, b in pairs], ohms, henries, [None, None])
        found = made.matrices[0, 1:, 1:]
    incidence = np.zeros((4, 2))
    incidence[[0, 1, 2], [0, 0, 1]] = 1, -1, 1
    admittance = np.linalg.inv(np.diag(ohms) + S * np.array(henries))
    np.testing.assert_allclose(found, incidence @ admittance @ incidence.T, rtol=1e-12, atol=1e-20)
    if isinstance(made, Equations):
        np.testing.assert_allclose([first[2][0], second[2][0]], admittance[:, 0], rtol=1e-12)


def test_no_value_an_element_usually_has_or_is_assumed_to_have_is_refused():
    for name, form in ELEMENT_FORMS.items():
        for parameter, limits in form.limits.items():
            low, high = limits.usual or (limits.low, limits.high)
            assert limits.low <= low < high <= limits.high, (name, parameter)
            assumed = KINDS[name].assumed.get(parameter) if name in KINDS else None
            assert assumed is None or low <= assumed <= high, (name, parameter)
