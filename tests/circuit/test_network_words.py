"""Graph reasoning against the numbers: the words of a network, worked out, give the solver's resistance."""

from __future__ import annotations

from circuits import built, plug
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.circuit.check_wanted import shape
from diagramgen.circuit.state_table import state_table
from diagramgen.model.coil_expression import Coil, Network, read_network

Tree = tuple[str, tuple["Tree", ...]] | int
TREES = st.recursive(st.just(0), lambda inner: st.tuples(st.sampled_from(["+", "||"]), st.lists(inner, min_size=2,
                                                                                            max_size=3)), max_leaves=6)


def wired(tree: object) -> tuple[str, list[float], str]:
    """A build of the tree's coils between tip and sleeve, their resistances, and the tree in words."""
    ohms: list[float] = []
    leads: list[str] = []
    points = 0

    def place(node: object, top: str, bottom: str) -> str:
        nonlocal points
        if node == 0:
            ohms.append(3000 + 371 * len(ohms))
            leads.extend([f"c{len(ohms)}.finish -> {top}", f"c{len(ohms)}.start -> {bottom}"])
            return f"c{len(ohms)}"
        how, terms = node  # type: ignore[misc]
        words = []
        for i, term in enumerate(terms):
            if how == "||":
                words.append(place(term, top, bottom))
                continue
            below = bottom
            if i < len(terms) - 1:
                points += 1
                below = f"p{points}.joint"
            words.append(place(term, top, below))
            top = below
        return "(" + f" {how} ".join(words) + ")"

    words = place(tree, "output.tip", "output.sleeve")
    parts = [f"  c{i + 1}: {{symbol: single-coil, values: {{resistance: {ohm:g}, kick: plus}}}}\n"
             for i, ohm in enumerate(ohms)]
    parts += [f"  p{i + 1}: splice\n" for i in range(points)]
    text = "parts:\n" + "".join(parts) + "  output: jack-mono-open\nleads:\n" + "".join(f"  - {x}\n" for x in leads)
    return text, ohms, words


def resistance(network: Network, ohms: list[float]) -> float:
    if isinstance(network, Coil):
        return ohms[int(network.part[1:]) - 1]
    values = [resistance(term, ohms) for term in network.terms]
    return sum(values) if network.how == "series" else 1 / sum(1 / v for v in values)


@given(TREES)
def test_the_words_of_a_network_are_the_way_it_was_wired_and_give_its_resistance(tree: object) -> None:
    text, ohms, words = wired(tree)
    made = built(text)
    found = state_table(made).result(0)
    network = read_network(found.sound.network)
    assert network is not None
    names = {f"c{i + 1}": f"c{i + 1}" for i in range(len(ohms))}
    assert shape(network, names, True) == shape(read_network(words), names, True)
    assert abs(resistance(network, ohms) / (plug(made).ohms or 0) - 1) < 1e-9
