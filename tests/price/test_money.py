"""Amounts: read strictly, rounded half up, exact in between."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.features.price.money import Currency, Written, half_up, plus, read_amount, times
from diagramgen.kernel.diagnostics import Diagnostics, Location

EUR, COMMA, JPY = Currency("EUR"), Currency("EUR", comma=True), Currency("JPY", 0)
HERE = Location("shop.yaml", 3, 9)


def read(text, currency=EUR):
    say = Diagnostics()
    value = read_amount(Written(text, HERE), currency, say)
    return value, [(p.code, p.place, p.message, p.remedy) for p in say]


@pytest.mark.parametrize(("text", "currency", "value"), [
    ("7.90", EUR, "7.90"), ("7,90", COMMA, "7.90"), ("0", EUR, "0"), ("EUR 7.90", EUR, "7.90"),
    ("7.90 eur", EUR, "7.90"),
    ("999999999.99", EUR, "999999999.99"), ("1200", JPY, "1200"), ("0007", EUR, "7"), ("7.900", EUR, "7.9"),
])
def test_an_amount_is_read_as_it_stands(text, currency, value):
    assert read(text, currency) == (Decimal(value), [])


@pytest.mark.parametrize(("text", "currency", "code", "words"), [
    ("-7.90", EUR, "PRI-602", "less than nothing"), ("−7.90", EUR, "PRI-602", "less than nothing"),
    ("1e12", EUR, "PRI-602", "not a plain number"), ("1000000000000", EUR, "PRI-602", "absurd"),
    ("7.905", EUR, "PRI-602", "finer than"), ("7.5", JPY, "PRI-602", "finer than"),
    ("7,90", EUR, "PRI-602", "decimal comma"), ("7.90", COMMA, "PRI-602", "decimal point"),
    ("1,234.50", EUR, "PRI-602", "not a plain number"), ("1.234,50", COMMA, "PRI-602", "not a plain number"),
    ("1 234", EUR, "PRI-602", "not a plain number"), ("NaN", EUR, "PRI-602", "not a plain number"),
    ("inf", EUR, "PRI-602", "not a plain number"), ("=1+1", EUR, "PRI-602", "not a plain number"),
    ("", EUR, "PRI-602", "plain"),
    ("٧", EUR, "PRI-602", "plain number"), ("0." + "1" * 50, EUR, "PRI-602", "absurd"),
    ("USD 7.90", EUR, "PRI-603", "in 'USD'"), ("$7.90", EUR, "PRI-603", "in '$'"),
    ("7.90 gbp", EUR, "PRI-603", "in 'gbp'"),
])  # fmt: skip
def test_what_cannot_be_meant_is_refused_at_its_place(text, currency, code, words):
    value, said = read(text, currency)
    assert value is None
    assert [(c, p) for c, p, _, _ in said] == [(code, HERE)]
    assert words in said[0][2]
    assert said[0][3]


@pytest.mark.parametrize(("amount", "step", "rounded"), [
    ("0.005", "0.01", "0.01"), ("0.015", "0.01", "0.02"), ("0.025", "0.01", "0.03"), ("2.5", "1", "3"),
    ("0.00499999999999999999999999999999", "0.01", "0"), ("-0.005", "0.01", "-0.01"),
    ("7.32", "0.05", "7.30"), ("7.325", "0.05", "7.35"), ("1000000000000000000000000000000.005", "0.01",
                                                         "1000000000000000000000000000000.01"),
])
def test_half_goes_up(amount, step, rounded):
    assert half_up(Decimal(amount), Decimal(step)) == Decimal(rounded)


def test_three_thirds_of_a_half_are_a_half():
    # 64.01 an hour, ten minutes three times: 32.005. Decimals of any length would come out just below.
    third = Fraction(Decimal("64.01")) * 10 / 60
    assert half_up(third + third + third, Decimal("0.01")) == Decimal("32.01")


AMOUNTS = st.fractions(min_value=-10**9, max_value=10**9)


@given(AMOUNTS, st.sampled_from(["1", "0.5", "0.05", "0.01", "0.001"]))
def test_what_is_rounded_is_a_multiple_and_nearest(amount, step):
    found, size = Fraction(half_up(amount, Decimal(step))), Fraction(step)
    assert (found / size).denominator == 1
    assert abs(found - amount) * 2 <= size
    assert half_up(-amount, Decimal(step)) == -half_up(amount, Decimal(step))


@given(st.lists(st.decimals(min_value=-10**9, max_value=10**9, places=6), max_size=20))
def test_sums_and_products_are_exact(amounts):
    assert Fraction(plus(amounts)) == sum((Fraction(a) for a in amounts), Fraction(0))
    few = amounts[:4]
    product = Fraction(1)
    for a in few:
        product *= Fraction(a)
    assert Fraction(times(*few)) == product


@given(st.decimals(min_value=0, max_value=Decimal("999999999.99"), places=2), st.booleans())
def test_what_is_printed_is_read_as_the_same_amount(amount, comma):
    currency = Currency("EUR", comma=comma)
    assert read(currency.words(amount), currency) == (amount, [])
