"""Sums in symbol files: what they mean, and what is refused."""

from __future__ import annotations

import math
import operator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.library.expressions import BadSum, constant, read_sum

SIZES = {"body": 24.0, "lug-pitch": 7.7, "a1": 0.5, "w": 3.0}
NUMBER = st.integers(0, 4000).map(lambda n: n / 8)


def _written(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


LEAF = st.one_of(
    NUMBER.map(lambda v: (_written(v), v)),
    st.sampled_from(sorted(SIZES)).map(lambda n: (n, SIZES[n])),
)


def _grown(inner: st.SearchStrategy[tuple[str, float]]) -> st.SearchStrategy[tuple[str, float]]:
    def joined(a: tuple[str, float], b: tuple[str, float], sign: str) -> tuple[str, float]:
        if sign == "/":
            b = ("2", 2.0)
        work = {"+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv}
        return f"({a[0]} {sign} {b[0]})", work[sign](a[1], b[1])

    return st.one_of(
        st.builds(joined, inner, inner, st.sampled_from("+-*/")),
        inner.map(lambda a: (f"-{a[0]}", -a[1])),
        inner.map(lambda a: (f"( {a[0]} )", a[1])),
    )


@given(st.recursive(LEAF, _grown, max_leaves=12))
def test_a_bracketed_sum_has_the_value_it_was_built_with(built: tuple[str, float]) -> None:
    text, value = built
    found = read_sum(text).value(SIZES)
    assert math.isclose(found, value, rel_tol=1e-9, abs_tol=1e-6)


TERMS = st.lists(st.tuples(st.sampled_from("+-*"), st.integers(0, 40)), min_size=1, max_size=8)


@given(TERMS, st.integers(0, 40))
def test_times_binds_before_plus_and_minus_runs_from_the_left(
    tail: list[tuple[str, int]], first: int
) -> None:
    text = str(first) + "".join(f" {sign} {n}" for sign, n in tail)
    assert read_sum(text).value({}) == pytest.approx(eval(text))


@given(st.text(alphabet="ab1.-+*/() ", max_size=24))
def test_any_text_is_read_or_refused_as_a_bad_sum_never_otherwise(text: str) -> None:
    try:
        value = read_sum(text).value({"a": 1.0, "b": 2.0})
    except BadSum:
        return
    assert isinstance(value, float)


@given(st.recursive(LEAF, _grown, max_leaves=8))
def test_the_names_of_a_sum_are_all_it_needs_to_be_worked_out(built: tuple[str, float]) -> None:
    found = read_sum(built[0])
    assert found.value({n: SIZES[n] for n in found.names}) == found.value(SIZES)


@given(st.floats(-1e4, 1e4))
def test_a_constant_is_its_number(value: float) -> None:
    assert constant(value).value({}) == value


def test_a_minus_without_blanks_belongs_to_the_name() -> None:
    assert read_sum("lug-pitch - 1").names == ("lug-pitch",)
    assert read_sum("lug-pitch-1").names == ("lug-pitch-1",)
    with pytest.raises(BadSum, match="'lug-pitch-1', which is no dimension"):
        read_sum("lug-pitch-1").value(SIZES)


@pytest.mark.parametrize(("text", "says"), [
    ("", "is not complete"),
    ("body +", "is not complete"),
    ("body 2", "an operator is missing"),
    ("2 (body)", "an operator is missing before a bracket"),
    ("(body", "a bracket is not closed"),
    ("body)", "a bracket was not opened"),
    ("()", "nothing stands before a closing bracket"),
    ("* body", "nothing stands before '*'"),
    ("body ** 2", "nothing stands before '*'"),
    ("body % 2", "is no sum of numbers and dimension names"),
    ("Body", "is no sum of numbers and dimension names"),
])
def test_a_faulty_sum_is_refused_with_its_reason(text: str, says: str) -> None:
    with pytest.raises(BadSum) as caught:
        read_sum(text)
    assert says in str(caught.value)


def test_dividing_by_a_dimension_of_nought_is_refused_in_words() -> None:
    with pytest.raises(BadSum, match="divides by zero"):
        read_sum("body / gap").value({"body": 24.0, "gap": 0.0})
