"""What a job costs: sums, taxes and rounding hold for any lines; every part and wire finds its price or is said."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sampled import proof_of, read_of

from diagramgen.analysis import changes_of
from diagramgen.features.price.bill import BillLine, bill, check_names, price_of, totals
from diagramgen.features.price.money import Currency
from diagramgen.features.price.price_file import PriceFile, Tax, read_prices
from diagramgen.job.material import buying_list
from diagramgen.kernel.diagnostics import Diagnostics

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
EMPTY = PriceFile("shop.yaml", Currency("EUR"), None, True, Decimal("0.01"), False, (), {}, {}, {}, {}, (), (), {})


@cache
def listed(name):
    proof = proof_of(name)
    return buying_list(proof.layout, proof.rows, changes_of(proof))


def prices(text):
    say = Diagnostics()
    found = read_prices(("currency: EUR\n" + text).encode(), "shop.yaml", say)
    assert [p.text() for p in say] == []
    return found


def billed(name, text):
    say = Diagnostics()
    return bill(listed(name), prices(text), say), say.sorted()


AMOUNTS = st.one_of(st.none(), st.fractions(min_value=0, max_value=10**7, max_denominator=10**4))
LINES = st.lists(st.builds(
    lambda exact, on: BillLine("shop", "x", Fraction(1), "piece", None, None, exact, on), AMOUNTS,
    st.sampled_from(["parts", "labour"])), max_size=12)
TAXES = st.lists(st.builds(
    Tax, st.just("t"), st.decimals(min_value=0, max_value=100, places=3), st.sampled_from(["all", "parts", "labour"])),
    max_size=3).map(tuple)
FILES = st.builds(
    lambda each, step, included, taxes: replace(EMPTY, each_line=each, round_to=Decimal(step), tax_included=included,
                                                taxes=taxes),
    st.booleans(), st.sampled_from(["0.01", "0.05", "1"]), st.booleans(), TAXES)


@given(LINES, FILES)
def test_the_lines_and_what_is_added_make_the_total(lines, file):
    made = totals(lines, file)
    added = Decimal(0) if file.tax_included else made.tax_total
    assert made.lines_total + added + made.rounding == made.total
    if file.each_line:
        assert sum((line.amount for line in made.lines if line.amount is not None), Decimal(0)) == made.lines_total
    exact = sum((line.exact for line in lines if line.exact is not None), Fraction(0))
    slack = len(lines) * Fraction(1, 200) if file.each_line else Fraction(1, 200)
    assert abs(Fraction(made.lines_total) - exact) <= slack


@given(LINES, FILES, st.randoms(use_true_random=False))
def test_the_order_of_lines_does_not_matter(lines, file, shuffler):
    other = list(lines)
    shuffler.shuffle(other)
    a, b = totals(lines, file), totals(other, file)
    assert (a.lines_total, a.total) == (b.lines_total, b.total)
    assert [t.amount for t in a.taxes] == [t.amount for t in b.taxes]


@given(LINES, FILES)
def test_the_total_is_a_multiple_nearest_to_the_sum(lines, file):
    made = totals(lines, file)
    assert made.total % file.round_to == 0
    assert abs(made.rounding) * 2 <= file.round_to
    assert made.complete == all(line.exact is not None for line in lines)


@given(LINES, FILES)
def test_taxes_held_by_the_prices_are_less_than_the_prices(lines, file):
    made = totals(lines, replace(file, tax_included=True))
    assert all(0 <= t.amount <= t.base for t in made.taxes)
    assert made.tax_total <= made.lines_total + len(file.taxes) * Decimal("0.01")


def test_one_tax_held_by_a_price_is_the_share_every_book_of_accounts_gives():
    # 120.00 with 20 % in it: 100.00 and 20.00 (arithmetic).
    line = BillLine("shop", "x", None, "", None, None, Fraction(120), "parts")
    made = totals([line], replace(EMPTY, tax_included=True, taxes=(Tax("t", Decimal(20), "all"),)))
    assert (made.tax_total, made.total) == (Decimal("20.00"), Decimal("120.00"))


def test_two_taxes_held_by_a_price_share_one_net_price():
    # 115.00 with 5 % and 10 % in it: net 100.00.
    line = BillLine("shop", "x", None, "", None, None, Fraction(115), "parts")
    taxes = (Tax("a", Decimal(5), "all"), Tax("b", Decimal(10), "all"))
    assert [t.amount for t in totals([line], replace(EMPTY, tax_included=True, taxes=taxes)).taxes] == [5, 10]


def test_a_tax_on_parts_alone_leaves_labour_out():
    lines = [BillLine("parts", "p", None, "", None, None, Fraction(50), "parts"),
             BillLine("labour", "l", None, "", None, None, Fraction(80), "labour")]
    made = totals(lines, replace(EMPTY, taxes=(Tax("t", Decimal(10), "parts"),)))
    assert [(t.base, t.amount) for t in made.taxes] == [(50, 5)]
    assert made.total == 135


def test_rounding_each_line_and_the_sum_differ_as_they_must():
    lines = [BillLine("shop", "x", None, "", None, None, Fraction("0.125"), "parts")] * 4
    assert totals(lines, EMPTY).total == Decimal("0.52")
    assert totals(lines, replace(EMPTY, each_line=False)).total == Decimal("0.50")


def test_a_part_without_a_price_is_said_and_the_total_is_incomplete():
    made, said = billed("two-pickups-toggle", "kinds:\n  pot-24: 7.00\n")
    assert not made.complete
    assert {p.code for p in said} == {"PRI-601"}
    places = {p.place.line for p in said if p.place.file.endswith("two-pickups-toggle.yaml")}
    parts = read_of("two-pickups-toggle").build.parts
    assert places == {parts[n].place.line for n in ("neck-cap", "bridge-cap", "bleed")}
    assert made.total == 14
    assert any("film capacitor" in words for words in made.missing)
    assert any("hook-up wire" in words for words in made.missing)


def test_a_price_by_name_goes_before_values_and_values_before_the_kind():
    file = prices("kinds:\n  pot-24: 5\n  pot-24, 500k log: 6\nparts:\n  neck-tone: 7\n")
    parts = read_of("two-pickups-toggle").build.parts
    found = read_of("two-pickups-toggle-found").build.parts
    assert price_of(parts["neck-tone"], file).amount == 7
    assert price_of(parts["bridge-tone"], file).amount == 6
    assert price_of(found["bridge-tone"], file).amount == 5
    assert price_of(parts["bleed"], file) is None


def test_what_is_sold_whole_is_paid_whole():
    each, said = billed("two-pickups-toggle", "kinds:\n  capacitor-film: {price: 11, per: 10 pieces}\n"
                        "stock:\n  hook-up wire: 0.80 per metre\n")
    whole, _ = billed("two-pickups-toggle", "kinds:\n  capacitor-film: {price: 11, per: 10 pieces, whole: yes}\n"
                      "stock:\n  hook-up wire: {price: 4, per: 5 metres, whole: yes}\n")
    assert said
    assert [line.amount for line in each.lines if line.exact is not None] == [Decimal("2.20"), Decimal("0.12")]
    assert [(line.quantity, line.amount) for line in whole.lines if line.exact is not None] == [(10, 11), (5, 4)]


def test_a_pot_by_the_metre_and_wire_by_the_piece_are_refused():
    _, said = billed("two-pickups-toggle", "kinds:\n  pot-24: 7 per metre\nstock:\n  hook-up wire: 7 per piece\n")
    assert [(p.code, p.place.line) for p in said if p.severity.word == "error"] == [("PRI-602", 3), ("PRI-602", 5)]


def test_what_is_not_charged_is_listed_and_costs_nothing():
    made, _ = billed("one-volume", "kinds:\n  bridge-ground: {charged: no}\n")
    line = next(line for line in made.lines if "string ground" in line.says)
    assert (line.charged, line.amount, line.says in made.missing) == (False, 0, False)


def test_wires_without_a_length_are_never_silently_free():
    made, said = billed("no-cavity", "stock:\n  hook-up wire: 1 per metre\n  bare wire: 1 per metre\n")
    assert "PRI-607" in {p.code for p in said}
    assert not made.complete
    tags = {tag for line in listed("no-cavity").stock for tag in line.unmeasured}
    assert tags
    assert all(any(tag in words for words in made.missing) for tag in tags)


def test_labour_is_what_was_counted_times_minutes_at_the_rate():
    made, _ = billed("two-pickups-toggle", "hourly rate: 63\nlabour: {joint: 2, joint opened: 1, part: 5}\n"
                     "lines:\n  - {says: set-up, minutes: 40}\n")
    counted = listed("two-pickups-toggle").counted
    minutes = counted.joints * 2 + counted.joints_opened + counted.parts * 5 + 40
    assert made.minutes == minutes
    assert made.sum_of("labour", "shop") == Decimal(minutes * 63) / 60


def test_names_that_nothing_bears_are_said():
    say = Diagnostics()
    file = prices("kinds:\n  pot-42: 7\n  pot-24: 7\nparts:\n  nek-tone: 7\n")
    check_names(listed("two-pickups-toggle"), file, ["pot-24", "pot-16"], say)
    assert [(p.code, p.severity.word, p.place.line) for p in say] == [("PRI-608", "warning", 3), ("PRI-608", "note", 6)]
    assert "neck-tone" in say.sorted()[1].remedy


@pytest.mark.parametrize("name", ["one-volume", "baritone", "bass-active", "no-cavity", "two-pickups-toggle"])
def test_every_part_to_buy_and_every_wire_is_on_the_bill_once(name):
    made, _ = billed(name, "hourly rate: 60\n")
    quantity = sum(line.quantity for line in made.lines if line.group == "parts")
    assert quantity == sum(line.quantity for line in listed(name).parts_that("buy"))
    lengths = sum(line.quantity for line in made.lines if line.group == "stock" and line.quantity is not None)
    assert lengths == sum(line.mm for line in listed(name).stock)
