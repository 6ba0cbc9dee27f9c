"""The connection graph: edges by kind, nets, paths, states, partial builds and unsure metal."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import build, cable, cavity, end, hinged, lead, part

from diagramgen.circuit.net_roles import net_roles
from diagramgen.circuit.nets import braid_node, classes, connect, metal_node, plate_node
from diagramgen.model.build import Build, Lead


def simple(*extra: Lead) -> Build:
    """One coil over a switch to a volume and out; ground from case to sleeve."""
    return build(
        [part("neck", "coil", cavity=""), part("mode", "slider", (30, 30)), part("volume", "pot", (60, 30)),
         part("output", "jack", (100, 40))],
        [lead("W01", "neck.finish -> mode.a"), lead("W02", "mode.common -> volume.ten"),
         lead("W03", "volume.wiper -> output.tip"), lead("W04", "volume.zero -> volume.case", "bend"),
         lead("W05", "volume.case -> output.sleeve", "bare"), lead("W06", "neck.start -> volume.case"), *extra],
    )


def test_leads_and_metal_join_and_elements_do_not() -> None:
    graph = connect(simple())
    assert graph.joined("neck.finish", "mode.a")
    assert graph.joined("volume.zero", "output.sleeve")
    assert graph.joined("neck.start", metal_node("volume", "case"))
    assert not graph.joined("neck.start", "neck.finish")
    assert not graph.joined("volume.ten", "volume.wiper")


def test_contacts_close_only_in_the_state_that_closes_them() -> None:
    made = simple()
    assert not connect(made).joined("neck.finish", "volume.ten")
    assert connect(made, {"mode": "up"}).joined("neck.finish", "volume.ten")
    assert not connect(made, {"mode": "down"}).joined("neck.finish", "volume.ten")
    assert connect(made, {"mode.slide": "up"}).joined("neck.finish", "volume.ten")


def test_a_control_or_position_that_does_not_exist_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(ValueError, match=r"no switching control 'mod'.*'mode'"):
        connect(simple(), {"mod": "up"})
    with pytest.raises(ValueError, match=r"no position 'middle'.*up"):
        connect(simple(), {"mode": "middle"})


def test_a_path_names_the_leads_it_goes_by() -> None:
    graph = connect(simple(), {"mode": "up"})
    path = graph.path("neck.finish", "volume.ten")
    assert path is not None
    assert [(e.kind, e.origin) for e in path] == [("wire", "W01"), ("contact", "mode.slide"), ("wire", "W02")]
    assert graph.path("neck.finish", "volume.wiper") is None
    assert graph.path("volume.ten", "volume.ten") == ()


def test_only_the_leads_made_so_far_conduct() -> None:
    graph = connect(simple(), made={"W04"})
    assert graph.joined("volume.zero", "volume.case")
    assert not graph.joined("volume.case", "output.sleeve")


def test_a_component_hung_by_its_legs_joins_its_lugs_to_the_two_named_ones() -> None:
    made = simple()
    hung = replace(made, parts={**made.parts, "c1": part("c1", "cap", between=("volume.wiper", "volume.case"))})
    graph = connect(hung)
    assert [e.kind for e in graph.at("c1.one")] == ["leg"]
    assert graph.joined("c1.one", "output.tip")
    assert graph.joined("c1.other", "output.sleeve")
    assert not connect(hung, made={"W03"}).joined("c1.one", "volume.wiper")
    assert connect(hung, made={"c1"}).joined("c1.one", "volume.wiper")
    one_leg = connect(hung, made={"c1 leg 1"})
    assert one_leg.joined("c1.one", "volume.wiper")
    assert not one_leg.joined("c1.other", "volume.case")


def test_a_braid_is_a_node_of_its_own() -> None:
    shielded = lead("W07", "volume.wiper -> output.ring", "shielded", shield_to=("volume.case",))
    graph = connect(simple(replace(shielded, end=end("output.tip"))))
    assert graph.joined(braid_node("W07"), "output.sleeve")
    assert not graph.joined(braid_node("W07"), "output.tip")


def test_the_braid_of_a_named_cable_joins_where_the_cable_says() -> None:
    made = replace(simple(lead("W07", "mode.b -> volume.ten", cable="loom")),
                   cables={"loom": cable("loom", 4, shielded=True, shield_to=(end("output.sleeve"),))})
    assert connect(made).joined(braid_node("loom"), "volume.case")


def test_ends_that_are_parked_or_unknown_join_nothing() -> None:
    made = simple(lead("W08", "mode.b -> unknown"), lead("W09", "neck.shield -> parked"))
    assert connect(made).net_of("mode", "b") == ("mode.b",)
    assert not connect(made).joined("mode.b", "neck.shield")


def test_a_metal_plate_joins_the_cases_on_it_for_sure() -> None:
    plated = cavity(plate=hinged(metal=True))
    made = build([part("volume", "pot", (30, 30)), part("tone", "pot", (70, 30))], cavities=[plated])
    graph = connect(made)
    path = graph.path("volume.case", "tone.case")
    assert path is not None
    assert [e.kind for e in path] == ["metal", "nut", "nut", "metal"]
    assert graph.joined("volume.case", plate_node("main"))
    wooden = build([part("volume", "pot", (30, 30)), part("tone", "pot", (70, 30))])
    assert not connect(wooden).joined("volume.case", "tone.case")


def test_a_nut_on_foil_is_neither_joined_nor_apart() -> None:
    made = build([part("foil", "shield-foil", (60, 37)), part("a", "pot", (30, 30), mounted_on="foil"),
                  part("b", "pot", (70, 30), mounted_on="foil")])
    graph = connect(made)
    assert not graph.joined("a.case", "b.case")
    assert graph.joined("a.case", "b.case", perhaps=True)
    assert len(graph.nets(perhaps=True)) < len(graph.nets())


def test_every_node_is_on_exactly_one_net() -> None:
    graph = connect(simple(), {"mode": "up"})
    members = [n for net in graph.nets() for n in net]
    assert sorted(members) == sorted(graph.nodes)


def test_classes_keep_the_order_of_the_build() -> None:
    assert classes("abcde", [("d", "b"), ("e", "a")]) == (("a", "e"), ("b", "d"), ("c",))


def test_roles_follow_leads_and_sure_metal_only() -> None:
    roles = net_roles(simple())
    ground = {k for k, role in roles.items() if role == "ground"}
    hot = {k for k, role in roles.items() if role == "hot"}
    assert ground == {"neck.start", "volume.zero", "volume.case", "output.sleeve"}
    assert hot == {"volume.wiper", "output.tip"}
    assert roles["mode.common"] == "other"
    assert set(net_roles(build([part("a", "pot", (1, 1))])).values()) == {"other"}
