from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.issues import services as batches
from costing.make.recipes import services as recipes
from costing.make.restock import selectors as restock
from inventory.models import Kind, Material
from tests.factories import batch, days_from, material, put, recipe, skin, take

pytestmark = pytest.mark.django_db
D = Decimal
YEAR_END = date(2025, 12, 31)
day = days_from(YEAR_END)


def bath_of(of: Material, number: str, litres: str | int, start: date, **options: Any) -> Any:
    version = recipe(f"R{number}", recipes.Line(of, D(80), "g", "per_litre"))
    return batch(number, version=version, litres=D(litres), start=start, **options)


def only(on: date = YEAR_END) -> restock.Line:
    (line,) = restock.outlooks(on)
    return line


def test_the_demo_years_alum_is_short_for_the_next_batch() -> None:
    alum = material("ALUMK", on_hand="0.56", value="3.67", on=day(-300), lead_days=9, safety_days=3, pack_quantity=D(2))
    bath_of(alum, "B5", 24, date(2026, 1, 12))
    seen = only().outlook
    assert (seen.needed, seen.short, seen.packs, seen.order_by, seen.reason) == (
        D(1920),
        D(1360),
        1,
        YEAR_END,
        "planned",
    )
    assert only().words() == "0.56 kg left; B5 needs 1.92 kg, 1.36 kg short."
    assert restock.alerts(YEAR_END) == [only()]


def test_average_use_of_an_old_shelf_is_over_a_year() -> None:
    alum = material(on_hand=10, value=10, on=day(-800), lead_days=9, safety_days=3, pack_quantity=D(2))
    take(alum, 9, day(-100))
    take(alum, "0.73", day(-10))
    seen = only().outlook
    # 9.73 kg in 365 days leave 0.27 kg for 11 days.
    assert (seen.reason, seen.runs_out_on, seen.order_by, seen.alert) == ("usual_use", day(11), day(-1), True)


def test_use_of_before_the_window_is_forgotten() -> None:
    alum = material(on_hand=10, on=day(-800))
    take(alum, 9, day(-365))
    assert only().outlook.reason == "none"
    assert restock.alerts(YEAR_END) == []


def test_a_young_shelf_spreads_its_use_over_its_own_days() -> None:
    alum = material(on_hand=2, on=day(-59))
    take(alum, "0.6", day(-1))
    # 0.6 kg in the 60 days it has existed is 10 g a day: 1.4 kg last 140 days.
    assert only().outlook.runs_out_on == day(140)


@pytest.mark.thorough
def test_a_shelf_of_yesterday_is_reckoned_over_thirty_days() -> None:
    alum = material(on_hand=2, on=day(-1))
    take(alum, "0.6", day(0))
    assert only().outlook.runs_out_on == day(70)


def test_what_is_sold_is_used_and_what_spoils_is_not() -> None:
    alum = material(on_hand=2, on=day(-29))
    take(alum, "0.3", day(-2), Kind.SOLD)
    take(alum, "0.7", day(-2), Kind.SPOILED)
    assert only().outlook.runs_out_on == day(100)


def test_what_was_taken_back_was_not_used() -> None:
    alum = material(on_hand=2, on=day(-29))
    skin("H01", date_in=day(-20))
    batches.reverse(use=put(None, alum, 1, day(-3), tags=["H01"]), reason="x", on=day(-1))
    assert only().outlook.reason == "none"


def test_a_plan_beats_the_average() -> None:
    alum = material(on_hand=2, value=8, on=day(-29), lead_days=9, safety_days=3)
    take(alum, "0.3", day(-2))
    bath_of(alum, "B5", 30, day(10))
    seen = only().outlook
    assert (seen.reason, seen.runs_out_on, seen.short) == ("planned", day(10), D(700))


def test_what_is_short_for_a_plan_is_told_however_far_ahead_the_plan_is() -> None:
    bath_of(material(on_hand=2, value=8, on=day(-29)), "B5", 30, day(200))
    seen = only().outlook
    assert (seen.alert, seen.short) == (False, D(400))
    assert restock.alerts(YEAR_END) == [only()]


def test_after_a_plan_the_average_empties_the_rest() -> None:
    alum = material(on_hand=2, value=8, on=day(-29))
    take(alum, "0.3", day(-2))
    bath_of(alum, "B5", 10, day(10))
    seen = only().outlook
    assert (seen.reason, seen.runs_out_on, seen.short) == ("usual_use", day(100), 0)


def test_several_plans_add_up_and_are_named() -> None:
    alum = material(on_hand=2, value=8, on=day(-29), pack_quantity=D("0.5"))
    bath_of(alum, "B5", 20, day(10))
    bath_of(alum, "B6", 20, day(20))
    line = only()
    assert (line.outlook.needed, line.outlook.short, line.outlook.packs, line.outlook.runs_out_on) == (
        D(3200),
        D(1200),
        3,
        day(20),
    )
    assert line.words() == "2 kg left; B5, B6 need 3.2 kg, 1.2 kg short."


def test_what_a_batch_took_already_is_needed_no_more() -> None:
    alum = material(on_hand=2, value=8, on=day(-29))
    bath = bath_of(alum, "B5", 20, day(-5))
    put(bath, alum, "1.6", day(-5))
    assert only().needs == ()


@pytest.mark.thorough
def test_packs_for_usual_use_cover_lead_safety_and_thirty_days() -> None:
    alum = material(on_hand=1, on=day(-29), lead_days=9, safety_days=3, pack_quantity=D("0.1"), shelf_life_days=5)
    take(alum, "0.3", day(-2))
    seen = only().outlook
    # 10 g a day over 42 days are 420 g; a pack of 100 g lasts 10 days and spoils after 5.
    assert (seen.packs, seen.spoils) == (5, True)


def test_stock_is_that_of_the_day_asked_for() -> None:
    alum = material(on_hand=2, on=day(-29))
    take(alum, 1, day(5))
    assert only(day(0)).on_hand == D(2000)
    assert only(day(5)).on_hand == D(1000)


def test_what_must_be_ordered_first_stands_first() -> None:
    for name, days in (("A", 0), ("B", 40), ("C", 20)):
        of = material(name, on_hand=1, on=day(-29), lead_days=days)
        take(of, "0.1", day(-2))
    material("D", on_hand=1, on=day(-29))
    assert [line.material.code for line in restock.outlooks(YEAR_END)] == ["B", "C", "A", "D"]


@pytest.mark.thorough
@pytest.mark.slow
def test_the_outlook_takes_as_many_queries_for_thirty_materials_and_plans_as_for_one() -> None:
    def fill(number: int) -> None:
        of = material(f"M{number}", on_hand=2, value=2, on=day(-29))
        take(of, 1, day(-2))
        skin(f"H{number}", date_in=day(-29))
        bath_of(of, f"B{number}", 1, day(5), tags=[f"H{number}"])

    fill(0)
    with CaptureQueriesContext(connection) as one:
        restock.outlooks(YEAR_END)
    for number in range(1, 31):
        fill(number)
    with CaptureQueriesContext(connection) as many:
        assert len(restock.outlooks(YEAR_END)) == 31
    assert len(many) == len(one)
