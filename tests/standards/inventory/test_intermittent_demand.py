"""Forecasts of demand that comes now and then, against figures that other libraries publish or test themselves by.

Every check names its source and its start, for the same series gives other figures from another start: sktime and R's
forecast begin with the first interval counted from the start of the series, intermittent-forecast with the mean of all
intervals. The first size is the first demand in all of them.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.foresight.intermittent import Smoothed, croston, sba, tsb

NEAR = Fraction(1, 10**12)
SIX_FIGURES = Fraction(1, 10**5)
GOLDEN = (0, 0, 2, 7, 0, 0, 0, 5, 0, 0, 0, 0, 3)
SMALL = (0, 0, 3, 0, 4, 0, 0, 0, 2, 0)
PRODUCT_C = (
    0,
    2,
    0,
    1,
    0,
    11,
    0,
    0,
    0,
    0,
    2,
    0,
    6,
    3,
    0,
    0,
    0,
    0,
    0,
    7,
    0,
    0,
    0,
    0,
    0,
    0,
    0,
    3,
    1,
    0,
    0,
    1,
    0,
    1,
    0,
    0,
)


def pair(found: Smoothed) -> tuple[Fraction, Fraction]:
    return found.size, found.interval


def test_croston_from_the_first_interval() -> None:
    """sktime, `forecasting/tests/test_croston.py` (GOLDEN_Q, GOLDEN_A, GOLDEN_FORECAST; 1e-12). Start: first demand, first
    interval. Its comment gives the state after period 4 and 8."""
    assert pair(croston(GOLDEN[:4])) == (Fraction("2.5"), Fraction("2.8"))
    assert pair(croston(GOLDEN[:8])) == (Fraction("2.75"), Fraction("2.92"))
    assert pair(croston(GOLDEN)) == (Fraction("2.775"), Fraction("3.128"))
    assert abs(croston(GOLDEN).forecast - Fraction("0.8871483375959078")) < NEAR


def test_silence_never_moves_croston_and_counts_in_the_next_interval() -> None:
    """sktime, the same file (`test_croston_forecast_unchanged_when_update_is_all_zeros`). Start: first demand, first interval."""
    silent = (*GOLDEN, 0, 0, 0, 0, 0)
    assert croston(silent) == croston(GOLDEN)
    assert pair(croston((*silent, 4))) == (
        Fraction("0.1") * 4 + Fraction("0.9") * Fraction("2.775"),
        Fraction("0.1") * 6 + Fraction("0.9") * Fraction("3.128"),
    )


def test_sba_takes_half_the_constant_of_the_intervals_off() -> None:
    """The factor 1 − a/2: R's forecast, manual of `croston_model`, Details. Its figure is worked out by hand from the golden
    series; sktime has none. Start: first demand, first interval."""
    assert abs(sba(GOLDEN).forecast - Fraction("0.8427909207161125")) < NEAR
    assert sba(GOLDEN, Fraction(1, 2), Fraction(1, 5)).factor == Fraction(9, 10)


@pytest.mark.parametrize(
    ("method", "forecasts"),
    [
        (croston, {5: "1.25", 6: "1.25", 8: "1.25", 9: "0.904605", 10: "0.904605"}),
        (sba, {5: "1.125", 6: "1.125", 8: "1.125", 9: "0.8141447", 10: "0.8141447"}),
    ],
)
def test_croston_and_sba_from_the_mean_interval(method: type, forecasts: dict[int, str]) -> None:
    """intermittent-forecast, `tests/forecasters/test_croston.py` (TestCROForecast, TestSBAForecast; 1e-5). Start: first
    demand 3, mean of the intervals 3 2 4. Sizes by 0.5, intervals by 0.2. Its forecasts before the second demand are not
    ours to give."""
    start = (Fraction(3), Fraction(3))
    for periods, forecast in forecasts.items():
        found = method(SMALL[:periods], Fraction(1, 2), Fraction(1, 5), start).forecast
        assert abs(found / Fraction(forecast) - 1) < SIX_FIGURES
    assert croston(SMALL, Fraction(1, 2), Fraction(1, 5), start).forecast == Fraction(275, 304)


def test_another_series_from_the_mean_interval() -> None:
    """intermittent-forecast, the example of class Croston (1e-8). Start: first demand 3, mean of the intervals 2 2 4."""
    series, start = SMALL[1:], (Fraction(3), Fraction(8, 3))
    for periods, forecast in {4: "1.38157895", 7: "1.38157895", 8: "0.97287736", 9: "0.97287736"}.items():
        found = croston(series[:periods], Fraction(1, 2), Fraction(1, 5), start).forecast
        assert abs(found - Fraction(forecast)) < Fraction(1, 10**8)


def test_tsb_falls_in_silence() -> None:
    """intermittent-forecast, `tests/forecasters/test_croston.py` (TestTSBForecast; 1e-5). Start: first demand; probability =
    share of the whole series with a demand, 3 of 10. Sizes by 0.3, probability by 0.1."""
    published = {5: "1.2468390", 6: "1.1221551", 7: "1.0099396", 8: "0.9089456", 9: "1.0123723", 10: "0.9111351"}
    for periods, forecast in published.items():
        found = tsb(SMALL[:periods], Fraction(3, 10), Fraction(1, 10), Fraction(3, 10)).forecast
        assert abs(found / Fraction(forecast) - 1) < SIX_FIGURES
    assert tsb(SMALL, Fraction(3, 10)) == tsb(SMALL, Fraction(3, 10), start=Fraction(3, 10))


def test_croston_is_above_sba() -> None:
    """R's forecast, `tests/testthat/test-croston.R`, "type variants": the order; the figures are worked out by hand. Start:
    first demand, first interval."""
    series = (0, 0, 3, 0, 0, 0, 2, 0, 5, 0, 0, 1, 0, 0, 0, 0, 4, 0, 0, 3)
    half = Fraction(1, 2 * 10**6)
    assert abs(croston(series).forecast - Fraction("0.948145")) <= half
    assert abs(sba(series).forecast - Fraction("0.900738")) <= half


def test_three_years_of_a_product_by_the_month() -> None:
    """Hyndman and Athanasopoulos, data set productC of fpp2 (the series; its figures are worked out by hand, 1e-9). Start:
    first demand, first interval."""
    near = Fraction(1, 10**9)
    found = croston(PRODUCT_C)
    assert abs(found.size - Fraction("2.7502538401")) < near
    assert abs(found.interval - Fraction("2.79328007")) < near
    assert abs(found.forecast - Fraction("0.9845965213577742")) < near


@pytest.mark.parametrize("method", [croston, sba, tsb])
def test_fewer_than_two_demands_and_a_negative_one_are_refused(method: type) -> None:
    """intermittent-forecast (TestCROFit) and R's forecast ("errors on invalid input") refuse them too."""
    for series, fault in [((0, 0, 0), "3 periods have 0"), ((0, 5, 0), "have 1"), ((), "0 periods have 0")]:
        with pytest.raises(ValueError, match=fault):
            method(series)
    with pytest.raises(ValueError, match=r"a demand of -3 in period 2 is below zero"):
        method((4, Decimal(-3), 4))
