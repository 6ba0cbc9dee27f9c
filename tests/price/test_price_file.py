"""The price file: what it takes, and what is said of one that cannot be meant, each with its place."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from diagramgen.features.price.price_file import Per, read_prices
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


def read(text, head="currency: EUR\n"):
    say = Diagnostics()
    prices = read_prices((head + text).encode(), "shop.yaml", say)
    return prices, say.sorted()


def codes(problems):
    return [(p.code, p.place.line, p.severity) for p in problems]


def test_the_shipped_price_file_reads_without_a_word():
    say = Diagnostics()
    prices = read_prices((SAMPLES / "prices" / "lantern-lane.yaml").read_bytes(), "lantern-lane.yaml", say)
    assert list(say) == []
    assert prices.currency.comma
    assert prices.hourly == 60
    assert prices.kinds["pot-24, 500k log"].amount == Decimal("7.25")
    assert prices.kinds["capacitor-film"].per == Per(10, "piece")
    assert prices.kinds["bridge-ground"].amount is None
    assert prices.stock["hook-up wire"].per == Per(1, "metre")
    assert prices.labour["joint"] == Decimal("2.5")
    assert [t.percent for t in prices.taxes] == [Decimal("12.5")]
    assert prices.round_to == Decimal("0.05")


def test_a_kind_that_was_called_otherwise_is_priced_by_its_name_of_today():
    prices, said = read("kinds:\n  mode-ring: 22.22\n  pot-24, 500k log: 7.25\n")
    assert said == ()
    assert {key: price.amount for key, price in prices.kinds.items()} == {
        "pickup-ring-two-slides": Decimal("22.22"), "pot-24, 500k log": Decimal("7.25")}


def test_the_shipped_price_file_says_that_it_is_made_up():
    text = (SAMPLES / "prices" / "lantern-lane.yaml").read_text(encoding="utf-8")
    assert "made up" in text.splitlines()[0]
    assert "invented" in text.splitlines()[0]


@pytest.mark.parametrize(("text", "per"), [
    ("piece", Per()), ("10 pieces", Per(10)), ("metre", Per(1, "metre")), ("5 m", Per(5, "metre")),
    ("Foot", Per(1, "foot")), ("100 ft", Per(100, "foot")), ("25 cm", Per(25, "cm")), ("yard", Per(1, "yard")),
])
def test_a_price_is_for_a_quantity(text, per):
    prices, said = read(f"stock:\n  bare wire: {{price: 1, per: {text}}}\n")
    assert said == ()
    assert prices.stock["bare wire"].per == per


def test_lengths_are_those_of_the_foot_of_1959():
    # 1 ft = 0.3048 m, 1 yd = 0.9144 m exactly (international yard and pound agreement, 1959).
    assert Per(1, "foot").size == Decimal("304.8")
    assert Per(2, "yard").size == Decimal("1828.8")
    assert Per(5, "metre").says == "5 metres"
    assert Per(3, "foot").says == "3 feet"


FAULTS = [
    ("kinds:\n  pot-24: -7.90\n", "PRI-602", 3),
    ("kinds:\n  pot-24: 1e12\n", "PRI-602", 3),
    ("kinds:\n  pot-24: 1000000000000\n", "PRI-602", 3),
    ("kinds:\n  pot-24: 7.905\n", "PRI-602", 3),
    ("kinds:\n  pot-24: 7,90\n", "PRI-602", 3),
    ("kinds:\n  pot-24: 7.90 USD\n", "PRI-603", 3),
    ("kinds:\n  pot-24: {price: 7,90}\n", "INP-109", 3),
    ("kinds:\n  pot-24: {prise: 7.90}\n", "INP-109", 3),
    ("kinds:\n  pot-24: {code: X1}\n", "INP-110", 3),
    ("kinds:\n  pot-24: {price: 1, charged: no}\n", "PRI-606", 3),
    ("kinds:\n  pot-24: 7.90 per handful\n", "INP-103", 3),
    ("kinds:\n  pot-24: {price: 1, per: 0 pieces}\n", "INP-103", 3),
    ("hourly rate: -1\n", "PRI-602", 2),
    ("hourlyrate: 60\n", "INP-109", 2),
    ("labour: {joint: 2}\n", "PRI-605", 2),
    ("hourly rate: 60\nlabour: {joint: 100000}\n", "PRI-602", 3),
    ("hourly rate: 60\nlabour: {joints: 2}\n", "INP-109", 3),
    ("lines:\n  - {says: set-up, minutes: 10}\n", "PRI-605", 3),
    ("lines:\n  - {says: set-up}\n", "PRI-606", 3),
    ("lines:\n  - {says: set-up, minutes: 10, price: 5}\n", "PRI-606", 3),
    ("tax: {prices: added, rates: [{name: t, percent: 100.5}]}\n", "PRI-604", 2),
    ("tax: {prices: added, rates: [{name: t, percent: -5}]}\n", "PRI-602", 2),
    ("tax: {rates: [{name: t, percent: 5}]}\n", "INP-110", 2),
    ("tax: {prices: added, rates: []}\n", "INP-108", 2),
    ("round to: 0\n", "PRI-602", 2),
    ("rounding: down\n", "INP-103", 2),
    ("decimals: 9\n", "INP-106", 2),
    ("format: 7\n", "INP-014", 2),
]


@pytest.mark.parametrize(("text", "code", "line"), FAULTS)
def test_a_fault_is_said_at_its_place(text, code, line):
    _, said = read(text)
    assert (code, line, Severity.ERROR) in codes(said)


@pytest.mark.parametrize(("text", "hint"), [
    ("hourlyrate: 60\n", "'hourly rate'"), ("kinds:\n  p: {prise: 1}\n", "'price'"), ("curency: EUR\n", "'currency'"),
    ("kinds:\n  p: {price: 7,90}\n", "decimal comma"), ("kinds:\n  p: 7,90\n", "'decimal sign: comma'"),
])
def test_the_nearest_name_or_way_is_offered(text, hint):
    assert any(hint in p.remedy for p in read(text)[1])


def test_words_that_cannot_be_lettered_are_said_at_their_place():
    prices, said = read("shop: [Workshop 日本]\nkinds:\n  pot-24: {price: 5, code: שלום}\n"
                        "lines:\n  - {says: 文, price: 1}\n")
    assert prices is not None
    assert codes(said) == [("INP-347", 2, Severity.WARNING), ("INP-347", 4, Severity.WARNING),
                           ("INP-347", 6, Severity.WARNING)]


def test_a_currency_is_needed_and_is_three_letters():
    assert "INP-110" in [p.code for p in read("kinds:\n", head="")[1]]
    assert "INP-104" in [p.code for p in read("", head="currency: euro\n")[1]]


@pytest.mark.parametrize("data", [b"", b"# nothing\n", b"- 1\n", b"just words\n", b"\x00\x01", b"a: [", b"a: &x 1\n",
                                  b"kinds:\n  \ttab: 1\n", b"\xff\xfe", b"currency: EUR\ncurrency: USD\n"])
def test_bytes_that_are_no_price_file_end_in_a_sentence(data):
    say = Diagnostics()
    read_prices(data, "shop.yaml", say)
    assert say.has_errors
    assert all(p.message and p.place.file == "shop.yaml" for p in say)
