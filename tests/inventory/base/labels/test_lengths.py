"""Lengths by a ruler: kept in mm once, and given back as they were typed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from inventory.base.labels import rules
from inventory.base.labels.lengths import INCHES, MM, Ruler


def back(ruler: Ruler, typed: Decimal) -> Decimal:
    return ruler.figure(ruler.kept(typed))


@pytest.mark.parametrize("parts", [16, 32])
def test_each_part_of_a_foot_rule_comes_back_as_it_was_typed(parts: int) -> None:
    typed = [sign * Decimal(n) / parts for n in range(12 * parts + 1) for sign in (1, -1) if n or sign > 0]
    assert [(each, back(INCHES, each)) for each in typed if back(INCHES, each) != each] == []
    shown = [INCHES.told(INCHES.kept(each)) for each in typed if each >= 0]
    assert shown == [f"{each.normalize():f} in" for each in typed if each >= 0]


@given(st.integers(-200_000, 200_000))
def test_any_figure_of_four_places_comes_back(steps: int) -> None:
    typed = Decimal(steps) / 10_000
    assert back(INCHES, typed) == typed


@given(st.integers(-420_000, 420_000), st.sampled_from([MM, INCHES]))
def test_the_figure_to_type_always_leads_back_to_what_is_kept(thousandths: int, ruler: Ruler) -> None:
    """So who saves a sheet as it stands changes nothing, whichever ruler it was measured with."""
    mm = Decimal(thousandths) / 1000
    found = ruler.figure(mm)
    assert ruler.kept(found) == mm
    assert -int(found.as_tuple().exponent) <= ruler.typed


def test_an_inch_is_rounded_once_to_a_thousandth_of_a_millimetre() -> None:
    assert [INCHES.kept(Decimal(text)) for text in ("2.625", "0.0625", "0.1875", "-1")] == [
        Decimal(text) for text in ("66.675", "1.588", "4.763", "-25.4")
    ]


def test_halves_are_told_as_they_are_and_others_to_four_places() -> None:
    half = Decimal("66.675") / 2
    assert MM.told(half) == "33.3375 mm"
    assert INCHES.told(half) == "1.3125 in"
    assert INCHES.told(Decimal("99.1"), Decimal("38.1")) == "3.9016 × 1.5 in"


@pytest.mark.parametrize("ruler", [MM, INCHES])
def test_a_limit_is_told_by_a_figure_that_is_allowed(ruler: Ruler) -> None:
    assert ruler.kept(Decimal(ruler.least(rules.LEAST))) >= rules.LEAST
    assert ruler.kept(Decimal(ruler.most(rules.MOST))) <= rules.MOST
    assert ruler.kept(Decimal(ruler.most(rules.FARTHEST))) <= rules.FARTHEST


def test_common_sheets_on_letter_are_whole_thirty_seconds_of_an_inch() -> None:
    for name, sheet in rules.COMMON.items():
        if sheet.paper == "letter":
            for field in ("width", "height", "left", "top", "gap_x", "gap_y"):
                assert INCHES.figure(getattr(sheet, field)) * 32 % 1 == 0, (name, field)
