from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.issues import services as batches
from costing.make.foresight import selectors as plans
from costing.make.recipes import services as recipes
from inventory.foresight import selectors as foresight, words
from inventory.foresight.rules import Forecast, State
from inventory.ledger import services as ledger
from inventory.models import Kind, Material
from tests.factories import batch, days_from, material, put, recipe, skin, take

pytestmark = pytest.mark.django_db
D = Decimal
YEAR_END = date(2025, 12, 31)
day = days_from(YEAR_END)


def bath_of(of: Material, number: str, litres: str | int, start: date, **options: Any) -> Any:
    version = recipe(f"R{number}", recipes.Line(of, D(80), "g", "per_litre"))
    return batch(number, version=version, litres=D(litres), start=start, **options)


def line(on: date = YEAR_END) -> foresight.Outlook:
    (found,) = foresight.outlooks(on)
    return found


def only(on: date = YEAR_END) -> Forecast:
    return line(on).forecast


def weekly(of: Material, kilos: str, *, weeks: int = 8, until: int = -1) -> None:
    for week in reversed(range(weeks)):
        take(of, kilos, day(until - 7 * week))


def test_the_demo_years_alum_is_short_for_the_next_batch() -> None:
    alum = material("ALUMK", on_hand="0.56", value="3.67", on=day(-300), lead_days=9, safety_days=3, pack_quantity=D(2))
    bath_of(alum, "B5", 24, date(2026, 1, 12))
    seen = only()
    assert (seen.needed, seen.short, seen.wanted, seen.order_by, seen.reason) == (
        D(1920),
        D(1360),
        D(1360),
        YEAR_END,
        "planned",
    )
    assert seen.state == State.ORDER_NOW
    assert words.reason(line()) == "0.56 kg left; B5 needs 1.92 kg, 1.36 kg short."
    assert [each.material for each in foresight.alerts(YEAR_END)] == [alum]


def test_what_is_used_every_week_runs_out_in_its_rhythm() -> None:
    alum = material(on_hand=2, on=day(-80), lead_days=9, safety_days=3)
    weekly(alum, "0.2")
    # 0.4 kg are left, the last use was yesterday: the third from now finds nothing.
    seen = only()
    assert (seen.runs_out_on, seen.order_by, seen.reason) == (day(20), day(8), "usual_use")


def test_use_of_before_the_window_is_forgotten() -> None:
    alum = material(on_hand=10, on=day(-1200))
    for days in (-400, -380, -370):
        take(alum, 3, day(days))
    assert only().reason == "none"
    assert foresight.alerts(YEAR_END) == []


def test_one_use_is_no_habit_yet() -> None:
    alum = material(on_hand=2, on=day(-59), lead_days=9)
    take(alum, "1.9", day(-1))
    seen = only()
    assert (seen.use.rate, seen.reorder_point, seen.alert) == (0, 0, False)
    assert words.state(seen) == "No usual use"
    assert "used once" in words.why(line())


def test_what_is_sold_is_used_and_what_spoils_is_not() -> None:
    alum = material(on_hand=4, on=day(-60))
    for days in (-29, -22, -15):
        take(alum, "0.3", day(days), Kind.SOLD)
        take(alum, "0.7", day(days + 1), Kind.SPOILED)
    assert set(only().use.besides.sizes) == {D(300)}


def test_what_a_count_finds_missing_is_use_and_a_gain_is_taken_off_again() -> None:
    alum = material(on_hand=4, on=day(-60))
    ledger.count(material=alum, counted=D(3700), on=day(-30))
    ledger.count(material=alum, counted=D(3300), on=day(-20))
    ledger.count(material=alum, counted=D(3400), on=day(-10))
    assert only().use.besides.sizes == (D(300), D(300))


def test_what_was_taken_back_was_not_used() -> None:
    alum = material(on_hand=2, on=day(-29))
    skin("H01", date_in=day(-20))
    for days in (-9, -6, -3):
        batches.reverse(use=put(None, alum, "0.1", day(days), tags=["H01"]), reason="x", on=day(-1))
    assert only().reason == "none"


def test_what_one_batch_took_in_parts_is_one_use_of_it() -> None:
    alum = material(on_hand=9, on=day(-90))
    for number, start in (("B1", -60), ("B2", -40), ("B3", -20)):
        of = bath_of(alum, number, 10, day(start))
        put(of, alum, "0.5", day(start))
        put(of, alum, "0.3", day(start + 3))
    use = only().use
    assert (use.batches.sizes, use.batches.gaps, use.usual_batch) == ((D(800),) * 3, (20, 20), D(800))
    assert use.besides.sizes == ()


def test_a_plan_stands_in_for_the_usual_use_of_batches() -> None:
    alum = material(on_hand=9, value=8, on=day(-90))
    for number, start in (("B1", -60), ("B2", -40), ("B3", -20)):
        put(bath_of(alum, number, 10, day(start)), alum, "2.4", day(start))
    bath_of(alum, "B4", 20, day(10))
    seen = only()
    # 1.8 kg are there, 1.6 kg are planned; the usual batch of 2.4 kg comes twenty days after the plan and finds 0.2 kg.
    assert (seen.runs_out_on, seen.short, seen.reason) == (day(30), 0, "usual_use")


def test_what_is_short_for_a_plan_is_told_however_far_ahead_the_plan_is() -> None:
    bath_of(material(on_hand=2, value=8, on=day(-29)), "B5", 30, day(200))
    seen = only()
    assert (seen.state, seen.order_by, seen.short) == (State.ORDER_BY, day(200), D(400))
    assert len(foresight.alerts(YEAR_END)) == 1


def test_several_plans_add_up_and_are_named() -> None:
    alum = material(on_hand=2, value=8, on=day(-29), pack_quantity=D("0.5"))
    bath_of(alum, "B5", 20, day(10))
    bath_of(alum, "B6", 20, day(20))
    seen = only()
    assert (seen.needed, seen.short, seen.wanted, seen.runs_out_on) == (D(3200), D(1200), D(1200), day(20))
    assert seen.first_short
    assert seen.first_short.why == "B6"
    assert words.reason(line()) == "2 kg left; B5, B6 need 3.2 kg, 1.2 kg short."


def test_what_a_batch_took_already_is_needed_no_more() -> None:
    alum = material(on_hand=2, value=8, on=day(-29))
    bath = bath_of(alum, "B5", 20, day(-5))
    put(bath, alum, "1.6", day(-5))
    assert only().needs == ()


def test_stock_is_that_of_the_day_asked_for() -> None:
    alum = material(on_hand=2, on=day(-29))
    take(alum, 1, day(5))
    assert only(day(0)).supply.on_hand == D(2000)
    assert only(day(5)).supply.on_hand == D(1000)


def test_what_must_be_ordered_first_stands_first() -> None:
    for name, days in (("A", 0), ("B", 40), ("C", 20)):
        of = material(name, on_hand=5, on=day(-60), lead_days=days)
        weekly(of, "0.3")
    material("D", on_hand=1, on=day(-29))
    assert [each.material.code for each in foresight.outlooks(YEAR_END)] == ["B", "C", "A", "D"]


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
        foresight.outlooks(YEAR_END)
    for number in range(1, 31):
        fill(number)
    with CaptureQueriesContext(connection) as many:
        assert len(foresight.outlooks(YEAR_END)) == 31
    assert len(many) == len(one)


def test_only_uses_that_were_asked_about_are_answered() -> None:
    alum, salt = material("ALUMK", on_hand=1, on=day(-9)), material("SALT")
    take(alum, "0.1", day(-3))
    assert plans.used(None, materials=[salt.pk], on=YEAR_END) == {}
    assert plans.used(None, materials=[alum.pk], on=YEAR_END) == {alum.pk: [(day(-3), D(100), None)]}
