"""The lead list as data: CSV (RFC 4180) and JSON say the same, colours are codes of IEC 60757."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter

import pytest
from printed_samples import NAMES, printed

IEC_60757 = {
    "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green", "BU": "blue",
    "VT": "violet", "GY": "grey", "WH": "white", "PK": "pink", "GD": "gold", "TQ": "turquoise", "SR": "silver",
    "GNYE": "green-yellow",
}  # fmt: skip


def rows_of(name):
    return list(csv.DictReader(io.StringIO(printed(name).files["leads.csv"].decode("utf-8"), newline="")))


def whole(name):
    return json.loads(printed(name).files["leads.json"])


@pytest.mark.parametrize("name", NAMES)
def test_colour_codes_are_those_of_iec_60757_or_bare(name):
    codes = [lead["colour"] for lead in whole(name)["leads"] if lead["colour"]]
    assert codes
    for colour in codes:
        if colour["code"] == "BARE":
            continue
        for code in colour["code"].split("/"):
            assert code in IEC_60757, colour
            assert IEC_60757[code].split("-")[0] in colour["word"], colour


@pytest.mark.parametrize("name", NAMES)
def test_the_csv_read_back_equals_the_json(name):
    rows, leads = rows_of(name), whole(name)["leads"]
    assert [r["tag"] for r in rows] == [lead["tag"] for lead in leads]
    for row, lead in zip(rows, leads, strict=True):
        shares = Counter()
        for share in lead["shares"]:
            shares[share["name"]] += share["mm"]
        colour = lead["colour"] or {"code": "", "short": ""}
        assert (row["from"], row["to"]) == (lead["from"]["lug"], lead["to"]["lug"])
        assert (row["from_words"], row["to_words"]) == (lead["from"]["words"], lead["to"]["words"])
        assert (row["strip_from"], row["strip_to"]) == (lead["from"]["strip"], lead["to"]["strip"])
        assert (row["colour_code"], row["colour"]) == (colour["code"], colour["short"])
        for key in ("kind", "kind_words", "group", "remark", "cut_from"):
            assert row[key] == lead[key], key
        for key in ("gauge_awg", "outer_mm", "cut_mm"):
            assert (float(row[key]) if row[key] else None) == lead[key], key
        for name_ in ("route", "channel", "rise", "joint", "hinge", "slack", "rounding"):
            assert float(row[f"{name_}_mm"] or 0) == pytest.approx(shares[name_], abs=0.11), name_
        assert row["channels"].split() == lead["channels"]
        assert [s for s in row["shield_to"].split("; ") if s] == lead["shield_to"]
        assert row["reused"] == ("yes" if lead["reused"] else "no")


@pytest.mark.parametrize("name", NAMES)
def test_the_shares_of_a_cut_length_add_up_to_it(name):
    """Figures are rounded to 0.1 mm each, so the sum may be off by half of that for each share."""
    for lead in whole(name)["leads"]:
        if lead["cut_mm"] is not None and lead["cut_from"] == "drawing":
            total = sum(s["mm"] for s in lead["shares"])
            assert total == pytest.approx(lead["cut_mm"], abs=0.05 * (len(lead["shares"]) + 1)), lead["tag"]


def test_the_csv_has_a_header_crlf_line_ends_and_equal_columns():
    data = printed("baritone").files["leads.csv"]
    lines = list(csv.reader(io.StringIO(data.decode(), newline="")))
    assert data.count(b"\n") == data.count(b"\r\n") == len(lines)
    assert {len(line) for line in lines} == {len(lines[0])}
    assert lines[0][0] == "tag"


def test_a_build_that_was_not_measured_has_no_cut_lengths():
    drawn = [lead for lead in whole("no-cavity")["leads"] if lead["cut_from"] != "file"]
    assert drawn
    assert {lead["cut_mm"] for lead in drawn} == {None}


@pytest.mark.parametrize("name", NAMES)
def test_every_lead_end_stands_in_the_list_of_joints(name):
    """A conductor of a pickup's own cable and a component's leg are the lead itself: they are no joint."""
    found = {(end["tag"], joint["lug"]) for joint in whole(name)["joints"] for end in joint["ends"]}
    parts = printed(name).proof.layout.parts
    compared = 0
    for lead in whole(name)["leads"]:
        for end in (lead["from"]["lug"], lead["to"]["lug"]):
            part, _, lug = end.partition(".")
            if part in parts and parts[part].lugs[lug].kind != "conductor" and parts[part].part.between is None:
                assert (lead["tag"], end) in found, (lead["tag"], end)
                compared += 1
    assert compared >= len(whole(name)["leads"])
