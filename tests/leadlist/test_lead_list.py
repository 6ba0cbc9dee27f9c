"""The lead list: order of work, words, totals, joints, and its files."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

from builders import build, channel, codes, layout, lead, only, part, span

from diagramgen.features.leadlist.export import COLUMNS, FORMAT, leads_csv, leads_json
from diagramgen.job.joint_rules import check_joints
from diagramgen.job.lead_list import joints, lead_rows, wire_totals
from diagramgen.job.order import order_of
from diagramgen.job.words import end_words
from diagramgen.kernel.columns import csv_names
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point
from diagramgen.layout.joint_ends import meeting_counts
from diagramgen.layout.model import ChannelPort, LaidLead, Layout
from diagramgen.library.catalogue import shipped
from diagramgen.model.build import Build, Lead

PARTS = [
    part("volume", "pot", (30, 30), says="volume"), part("tone", "pot", (80, 30)),
    part("neck", "coil", cavity="", through="neck", says="neck pickup"),
    part("output", "jack", cavity="", through="jack", says="output jack"),
    part("c1", "cap", between=("tone.wiper", "tone.case")),
]
LEADS = [
    lead("W01", "neck.finish -> volume.ten", colour="red", cable="neck"),
    lead("W02", "neck.start -> volume.case", colour="white/black", cable="neck"),
    lead("W03", "volume.wiper -> output.tip", "shielded", colour="red", shield_to=("volume.case",)),
    lead("W04", "volume.ten -> tone.ten", colour="yellow", gauge=26),
    lead("W05", "volume.case -> tone.case", "bare", colour="bare"),
    lead("W06", "c1.one -> tone.wiper", "leg"),
    lead("W07", "c1.other -> tone.case", "leg"),
    lead("W08", "volume.zero -> volume.case", "bend"),
    lead("W09", "tone.zero -> parked", colour="yellow", gauge=26),
]


def plan(leads: list[Lead] | None = None) -> Layout:
    kept = LEADS if leads is None else leads
    made: Build = build(PARTS, kept, channels=[channel("neck", 8, 90), channel("jack", 9, 40)])
    tags = {"neck": ("W01", "W02"), "jack": ("W03",)}
    doors = [ChannelPort(c, "main", Point(0, 0), 0.0, 4.0, {t: Point(0, 0) for t in tags[c]}) for c in tags]
    outside = {"W01": 90.0, "W02": 90.0, "W03": 40.0}
    spans = {t: (span("main", 40.0), span("stall", mm, "outside")) for t, mm in outside.items()}
    return layout(made, [LaidLead(x, spans.get(x.tag, (span("main", 40.0),)), ()) for x in kept], doors)


def test_rows_come_in_the_order_of_work_and_pickups_last() -> None:
    rows = lead_rows(plan())
    assert [r.tag for r in rows] == ["W08", "W05", "W07", "W04", "W06", "W09", "W03", "W01", "W02"]
    assert [r.group for r in rows] == [
        "cases", "cases", "cases", "harness", "harness", "cavity", "channels", "pickups", "pickups"]


def test_the_list_has_the_one_order_of_work_and_each_group_is_metered_at_its_stop() -> None:
    order = order_of(plan())
    made = order.made_at()
    rows = lead_rows(plan(), order)
    assert [made[r.tag] for r in rows] == sorted(made[r.tag] for r in rows)
    at = {group: i for i, group, _ in order.checks()}
    before = {group: tags for _, group, tags in order.checks()}
    assert all(made[r.tag] < at[r.group] and r.tag in before[r.group] for r in rows)


def test_a_conductor_capped_and_parked_has_no_joint_and_comes_last() -> None:
    rows = lead_rows(plan([*LEADS, lead("W10", "neck.finish -> parked", cable="neck")]))
    assert (rows[-1].tag, rows[-1].group) == ("W10", "pickups")


def test_ends_and_kinds_are_in_shop_words() -> None:
    rows = {r.tag: r for r in lead_rows(plan())}
    assert (rows["W03"].start_says, rows["W03"].end_says) == ("Volume wiper", "Output jack tip")
    assert rows["W01"].kind_says == "conductor of the neck pickup cable"
    assert rows["W03"].kind_says == "shielded wire"
    assert rows["W05"].kind_says == "bare wire"
    assert rows["W06"].kind_says == "component leg"
    assert rows["W08"].kind_says == "lug bent to its case"
    assert rows["W09"].end_says == "capped and parked"
    assert rows["W03"].channels == ("jack",)
    assert rows["W03"].shield_says == ("Volume case",)
    assert rows["W02"].colour is not None
    assert (rows["W02"].colour.short, rows["W02"].colour.code) == ("wht/blk", "WH/BK")


def test_lug_words_of_the_symbol_are_used_for_lugs() -> None:
    volume = PARTS[0]
    worded = replace(volume, symbol=replace(volume.symbol, lug_words={"zero": "0"}))
    made = build([worded], [lead("W01", "volume.zero -> volume.case")])
    assert end_words(made, made.leads[0].start) == "Volume 0"


def test_gauges_are_those_of_the_reel_unless_a_lead_says_otherwise() -> None:
    rows = {r.tag: r for r in lead_rows(plan())}
    assert rows["W03"].gauge == 24
    assert rows["W04"].gauge == 26
    assert rows["W01"].gauge is None
    assert rows["W08"].gauge is None


def test_totals_count_wire_from_the_reel_only() -> None:
    totals = {(t.kind_says, t.colour.code if t.colour else "", t.gauge): t for t in wire_totals(lead_rows(plan()))}
    assert set(totals) == {("bare wire", "BARE", 24), ("hook-up wire", "YE", 26), ("shielded wire", "RD", 24)}
    yellow = totals["hook-up wire", "YE", 26]
    # 40 + 6 + 6 + 20 = 72, cut 75; the parked one has no length.
    assert (yellow.leads, yellow.length, yellow.unmeasured) == (2, 75, 1)


def test_a_length_that_rests_on_a_place_the_program_chose_says_so() -> None:
    made = plan([LEADS[3]])
    unplaced = replace(made.parts["tone"], automatic=True)
    (row,) = lead_rows(replace(made, parts={**made.parts, "tone": unplaced}))
    assert row.remark == "rests on the place the program chose for tone: measure before cutting"
    (row,) = lead_rows(made)
    assert row.remark == ""


def test_a_kept_lead_takes_no_new_wire() -> None:
    kept = [replace(x, reused=True) if x.tag == "W04" else x for x in LEADS]
    found = [t for t in wire_totals(lead_rows(plan(kept))) if t.kind_says == "hook-up wire"]
    assert [t.leads for t in found] == [1]


def test_a_joint_lists_everything_soldered_there() -> None:
    made = {j.key: j for j in joints(plan().build)}
    case = made["volume.case"]
    assert [(e.tag, e.kind, e.wires) for e in case.ends] == [
        ("W02", "wire", 1), ("W03", "braid", 1), ("W05", "bare", 1), ("W08", "bend", 1)]
    assert case.wires == 4
    assert made["volume.zero"].wires == 0
    assert made["tone.wiper"].ends[0].says == "leg: C1 one"
    assert "neck.finish" not in made
    assert "c1.one" not in made


def test_the_drawing_and_the_list_count_the_same_at_every_joint() -> None:
    for stretches in (LEADS, [*LEADS, lead("W20", "volume.case -> tone.case", "bare", bus="b"),
                              lead("W21", "tone.case -> output.sleeve", "bare", bus="b")]):
        made = plan(stretches)
        drawn = meeting_counts(made.build, (one.lead for one in made.leads))
        assert drawn == {j.key: j.wires for j in joints(made.build)}
        # A lug bent over takes room on its case; where it comes from it leaves its eye free.
        assert drawn["volume.zero"] == 0


def test_a_case_with_a_switch_takes_less_than_a_whole_one() -> None:
    # Common practice, no source: 24 mm of free case 7 joints, the rim beside a switch 6.
    takes = [next(p.takes for p in shipped()[name].drawing.lugs if p.kind == "spot")
             for name in ("pot-24", "pot-24-push-pull")]
    assert takes == [7, 6]


def test_a_component_that_hangs_by_its_legs_is_in_the_joints_once() -> None:
    hung = {j.key: j for j in joints(build(PARTS, [lead("W01", "tone.ten -> volume.ten")]))}
    assert [(e.tag, e.kind, e.wires) for e in hung["tone.wiper"].ends] == [("c1 leg 1", "leg", 1)]
    drawn = {j.key: j for j in joints(plan().build)}
    assert [e.tag for e in drawn["tone.wiper"].ends] == ["W06"]


def test_a_bus_wire_through_a_lug_is_one_wire() -> None:
    stretches = [lead("W01", "volume.case -> tone.case", "bare", bus="bus 1"),
                 lead("W02", "tone.case -> output.sleeve", "bare", bus="bus 1")]
    made = {j.key: j for j in joints(build(PARTS[:4], stretches))}
    assert made["tone.case"].wires == 1
    assert len(made["tone.case"].ends) == 2


def test_more_wires_than_a_lug_takes_are_warned_of() -> None:
    say = Diagnostics()
    crowd = [lead(f"W{i}", "volume.wiper -> tone.ten") for i in range(4)]
    check_joints(build(PARTS, crowd[:3]), say)
    assert codes(say) == []
    check_joints(build(PARTS[:1], [lead(f"W{i}", "volume.wiper -> unknown") for i in range(4)]), say)
    assert "4 ends meet at volume.wiper (W0, W1, W2, W3); it takes 3" in only(say, "LEN-304").message


def test_the_csv_follows_rfc_4180_and_reads_back() -> None:
    remarked = [replace(LEADS[3], remark='keep "long", says\nthe shop'), *LEADS[4:]]
    text = leads_csv(lead_rows(plan(remarked)))
    assert text.startswith(",".join(csv_names(COLUMNS)) + "\r\n")
    assert text.endswith("\r\n")
    assert '"keep ""long"", says\nthe shop"' in text
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    found = next(r for r in rows if r["tag"] == "W04")
    assert found["remark"] == 'keep "long", says\nthe shop'
    assert (found["cut_mm"], found["route_mm"], found["joint_mm"], found["slack_mm"]) == ("75", "40", "12", "20")
    assert (found["colour"], found["colour_code"], found["gauge_awg"], found["cut_from"]) == (
        "yel", "YE", "26", "drawing")
    parked = next(r for r in rows if r["tag"] == "W09")
    assert (parked["cut_mm"], parked["cut_from"]) == ("", "none")


def test_the_shares_in_the_csv_add_up_to_the_cut_length() -> None:
    rows = csv.DictReader(io.StringIO(leads_csv(lead_rows(plan())), newline=""))
    for row in rows:
        if row["cut_mm"]:
            shares = ("route", "channel", "rise", "joint", "hinge", "slack", "rounding")
            assert abs(sum(float(row[f"{s}_mm"]) for s in shares) - float(row["cut_mm"])) < 0.35


def test_the_json_carries_its_version_and_the_same_figures() -> None:
    rows = lead_rows(plan())
    read = json.loads(leads_json(rows, wire_totals(rows), joints(plan().build)))
    assert read["format"] == FORMAT == 1
    assert [r["tag"] for r in read["leads"]] == [r.tag for r in rows]
    one = next(r for r in read["leads"] if r["tag"] == "W04")
    assert (one["cut_mm"], one["from"]["words"], one["colour"]["short"]) == (75, "Volume ten", "yel")
    assert next(r for r in read["leads"] if r["tag"] == "W09")["cut_mm"] is None
    assert read["joints"][0]["lug"] == "volume.ten"
    assert sum(t["leads"] for t in read["totals"]) == 4


def test_both_files_are_the_same_every_time() -> None:
    first, second = lead_rows(plan()), lead_rows(plan())
    assert leads_csv(first) == leads_csv(second)
    assert leads_json(first, wire_totals(first), joints(plan().build)) == leads_json(
        second, wire_totals(second), joints(plan().build))
