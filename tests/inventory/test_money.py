"""Rounding, splitting and the text of an amount."""

from __future__ import annotations

import decimal
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings, strategies as st

from inventory import money
from inventory.errors import Refused

amounts = st.decimals(min_value=-(10**9), max_value=10**9, allow_nan=False, allow_infinity=False, places=6)
cents = st.integers(min_value=-(10**9), max_value=10**9).map(lambda steps: money.from_steps(steps, 2))

weights = st.lists(
    st.one_of(st.decimals(min_value=0, max_value=10**6, places=3), st.integers(0, 1000), st.fractions(0, 100)),
    min_size=1,
    max_size=12,
)


@given(amounts, st.integers(0, 5))
def test_half_up_agrees_with_the_decimal_module(value: Decimal, places: int) -> None:
    expected = value.quantize(Decimal(1).scaleb(-places), rounding=decimal.ROUND_HALF_UP)
    assert money.half_up(value, places) == expected


@given(amounts, st.integers(0, 4))
def test_half_up_of_a_mirrored_value_is_mirrored(value: Decimal, places: int) -> None:
    assert money.half_up(-value, places) == -money.half_up(value, places)


def test_half_up_is_exact_where_a_decimal_quotient_would_tie_wrongly() -> None:
    just_under = Fraction(1, 2) - Fraction(1, 10**40)
    assert money.half_up(just_under, 0) == 0
    assert money.half_up(Fraction(1, 2), 0) == 1


def test_half_up_does_not_depend_on_the_callers_context() -> None:
    with decimal.localcontext(prec=3):
        assert str(money.half_up(Decimal("123456.785"), 2)) == "123456.79"


def test_a_negative_trifle_rounds_to_plain_nought() -> None:
    assert str(money.half_up(Decimal("-0.004"), 2)) == "0.00"


@given(amounts, st.integers(0, 4))
def test_ceil_to_is_the_first_step_that_covers(value: Decimal, places: int) -> None:
    covered = money.ceil_to(value, places)
    step = Decimal(1).scaleb(-places)
    assert covered - step < value <= covered
    assert money.to_steps(covered, places) is not None


@pytest.mark.parametrize("bad", [1.5, float("nan")])
def test_a_float_never_comes_near_money(bad: float) -> None:
    with pytest.raises(TypeError, match="float"):
        money.half_up(bad, 2)  # type: ignore[arg-type]


def test_a_figure_of_a_billion_digits_is_refused_at_once() -> None:
    with pytest.raises(ValueError, match="out of any range"):
        money.half_up(Decimal("1e999999999"), 2)


def test_negative_places_are_refused() -> None:
    with pytest.raises(ValueError, match="places"):
        money.half_up(Decimal(15), -1)


@given(st.integers(), st.integers(0, 9))
def test_steps_round_trip(steps: int, places: int) -> None:
    assert money.to_steps(money.from_steps(steps, places), places) == steps


def test_to_steps_refuses_what_is_finer_than_a_step() -> None:
    with pytest.raises(ValueError, match=r"1\.2345 has more than 3 decimal places"):
        money.to_steps(Decimal("1.2345"), 3)


@settings(max_examples=50)
@given(cents, weights)
def test_parts_add_up_to_the_total(total: Decimal, shares: list[Decimal]) -> None:
    assume(any(shares))
    parts = money.allocate(total, shares, 2)
    assert len(parts) == len(shares)
    assert sum(parts) == total


@settings(max_examples=50)
@given(cents, weights)
def test_every_part_is_within_one_step_of_its_exact_share(total: Decimal, shares: list[Decimal]) -> None:
    assume(any(shares))
    whole = sum(Fraction(share) for share in shares)
    for part, share in zip(money.allocate(total, shares, 2), shares, strict=True):
        assert abs(Fraction(part) - Fraction(total) * Fraction(share) / whole) < Fraction(1, 100)


@settings(max_examples=50)
@given(cents, weights)
def test_a_weight_of_nothing_gets_nothing(total: Decimal, shares: list[Decimal]) -> None:
    assume(any(shares))
    parts = money.allocate(total, [*shares, 0], 2)
    assert parts[-1] == 0


@settings(max_examples=50)
@given(cents, weights)
def test_a_negative_total_splits_as_the_mirror_image(total: Decimal, shares: list[Decimal]) -> None:
    assume(any(shares))
    assert money.allocate(-total, shares, 2) == [-part for part in money.allocate(total, shares, 2)]


@settings(max_examples=50)
@given(cents, weights, st.integers(1, 9))
def test_only_the_ratio_of_weights_counts(total: Decimal, shares: list[Decimal], times: int) -> None:
    assume(any(shares))
    assert money.allocate(total, [Fraction(share) * times for share in shares], 2) == money.allocate(total, shares, 2)


def test_of_equal_remainders_the_last_line_takes_the_odd_step() -> None:
    assert money.allocate(Decimal("10.00"), [1, 1, 1], 2) == [Decimal("3.33"), Decimal("3.33"), Decimal("3.34")]


# Deliveries of the demo year: carriage over line prices, and what each line then stands for on the shelf.
LANDED = [
    ("9.90", ["23.00", "11.60", "3.90", "3.20"], ["5.46", "2.75", "0.93", "0.76"]),
    ("12.50", ["56.00", "8.90", "12.20"], ["9.08", "1.44", "1.98"]),
    ("8.40", ["6.40", "19.50"], ["2.08", "6.32"]),
]


@pytest.mark.parametrize(("carriage", "prices", "shares"), LANDED)
def test_carriage_is_shared_by_price_as_in_the_demo_year(carriage: str, prices: list[str], shares: list[str]) -> None:
    assert money.allocate(Decimal(carriage), [Decimal(price) for price in prices], 2) == [Decimal(s) for s in shares]


# Opening value + price + share − value issued before = value left, from the demo year's running balances.
BALANCES = [
    ("salt after 11 January", "5.40", 0, 0, "3.28", "30.58"),
    ("potash alum after 20 January", "2.70", 0, 1, "9.44", "7.61"),
    ("soda crystals after 20 January", "1.44", 0, 2, "1.07", "5.20"),
    ("baking soda after 31 January", "1.20", 0, 3, "0.55", "4.61"),
    ("bark after 22 May", "0.00", 1, 0, "29.29", "35.79"),
    ("lime after 10 May", "2.70", 1, 1, "1.00", "12.04"),
    ("salt after 5 May", "25.93", 1, 2, "1.66", "38.45"),
    ("citric acid after 25 September", "0.00", 2, 0, "1.49", "6.99"),
    ("tanning oil after 30 September", "0.00", 2, 1, "8.26", "17.56"),
]


@pytest.mark.parametrize(("what", "opening", "delivery", "line", "issued", "left"), BALANCES)
def test_landed_values_give_the_running_balances(
    what: str, opening: str, delivery: int, line: int, issued: str, left: str
) -> None:
    carriage, prices, _ = LANDED[delivery]
    share = money.allocate(Decimal(carriage), [Decimal(price) for price in prices], 2)[line]
    assert Decimal(opening) + Decimal(prices[line]) + share - Decimal(issued) == Decimal(left), what


@pytest.mark.parametrize("shares", [[], [0, 0], [Decimal("-1"), 2]])
def test_weights_that_cannot_share_are_refused(shares: list[Decimal]) -> None:
    with pytest.raises(ValueError, match="weights"):
        money.allocate(Decimal("1.00"), shares, 2)


def test_a_total_finer_than_a_step_is_refused() -> None:
    with pytest.raises(ValueError, match="decimal places"):
        money.allocate(Decimal("1.005"), [1], 2)


@pytest.mark.parametrize(
    ("currency", "digits"), [("EUR", 2), ("GBP", 2), ("ISK", 0), ("JPY", 0), ("UGX", 0), ("TND", 3), ("MRU", 2)]
)
def test_minor_unit_digits(currency: str, digits: int) -> None:
    assert money.digits(currency) == digits


@pytest.mark.parametrize("code", ["eur", "EURO", "", "XAU", "XXX", "CHE", "DEM", "CLF"])
def test_what_does_not_circulate_is_refused_with_what_to_do(code: str) -> None:
    with pytest.raises(Refused, match=f"^“{code}” is not .* ISO 4217 code in capitals") as refusal:
        money.digits(code)
    assert refusal.value.field == "currency"


def test_rounding_follows_the_currency() -> None:
    value = Decimal("12.3455")
    assert [str(money.round_money(value, code)) for code in ("JPY", "EUR", "KWD")] == ["12", "12.35", "12.346"]


def test_amounts_are_shown_with_sign_behind_and_thousands_apart() -> None:
    assert money.show(Decimal("1234567.5"), "EUR") == "1\u202f234\u202f567.50\u00a0€"
    assert money.show(Decimal(-5), "GBP") == "−5.00\u00a0£"
    assert money.show(Decimal("1234.5"), "JPY") == "1\u202f235\u00a0JPY"
    assert money.amount(Decimal("1234567.5"), "EUR") == "1234567.50"


@given(exact=st.lists(st.fractions(-500, 500, max_denominator=89), min_size=1, max_size=8), off=st.integers(-3, 3))
def test_parts_add_up_to_the_total_that_stands_below_them(exact: list[Fraction], off: int) -> None:
    total = money.half_up(sum(exact, Fraction(0)), 2) + Decimal(off).scaleb(-2)
    parts = money.parts_of(total, exact, 2)
    assert sum(parts) == total or not any(exact)
    assert all(part == 0 for part, each in zip(parts, exact, strict=True) if not each)
    if not off:
        assert all(abs(Fraction(part) - each) < Fraction(2, 100) for part, each in zip(parts, exact, strict=True))


factors = st.one_of(
    st.fractions(Fraction(1, 10**6), 10**6, max_denominator=10**12),
    st.sampled_from(
        [Fraction(1000), Fraction("453.59237"), 1 / Fraction("28.349523125"), Fraction(1, 3), Fraction(1, 2)]
    ),
)
odd = st.decimals(min_value=-(10**12), max_value=10**12, allow_nan=False, allow_infinity=False)


@given(st.one_of(amounts, odd), factors, st.integers(0, 6))
def test_a_prepared_factor_gives_what_the_exact_product_rounds_to(
    value: Decimal, factor: Fraction, places: int
) -> None:
    exact = money.half_up(Fraction(value) * factor, places)
    assert repr(money.times(factor, places)(value)) == repr(exact)


@given(st.integers(0, 10**9), st.integers(1, 10**6), st.integers(0, 6))
def test_a_prepared_factor_rounds_a_tie_away_from_nothing(steps: int, thirds: int, places: int) -> None:
    """A figure that lies exactly between two steps, by a factor that decimals can seldom say."""
    factor = Fraction(2 * steps + 1, 6 * thirds * 10**places)
    assert money.times(factor, places)(Decimal(3 * thirds)) == money.from_steps(steps + 1, places)


@pytest.mark.parametrize("value", ["0", "-0", "1E+1200", "-1E+1200", "1E-1200", "9E+999"])
def test_a_prepared_factor_bears_figures_that_nobody_needs(value: str) -> None:
    for factor in (Fraction(1, 3), Fraction(5, 2)):
        exact = money.half_up(Fraction(Decimal(value)) * factor, 3)
        assert repr(money.times(factor, 3)(Decimal(value))) == repr(exact)


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity"])
def test_a_prepared_factor_takes_no_figure_that_is_none(value: str) -> None:
    for factor in (Fraction(1, 3), Fraction(5, 2)):
        with pytest.raises((ValueError, OverflowError)):
            money.times(factor, 3)(Decimal(value))
