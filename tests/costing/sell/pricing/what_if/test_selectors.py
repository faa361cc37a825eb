"""What if: the forecast, the costs and the least prices are the ones of every other page, asked twice."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.cost.rates import services as rates
from costing.make.foresight.what_if import extra_batch
from costing.make.recipes import services as recipes
from costing.models import RecipeVersion
from costing.sell.pricing import rules as pricing
from costing.sell.pricing.selectors import NO_CHANNEL
from costing.sell.pricing.what_if import selectors as what_if
from costing.sell.pricing.what_if.selectors import Question
from costing.sell.pricing.what_if.words import Changed
from inventory import formats
from inventory.base.accounting import services as setting
from inventory.models import Material
from tests.factories import batch, days_from, delivery, line, material, put, recipe, registered, skin, take

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
ON = date(2025, 3, 4)
day = days_from(ON)
STEPS = (recipes.Step("Bath", lasts_days=11, minutes=60, minutes_per_skin=30),)


@pytest.fixture(autouse=True)
def _today() -> None:
    setting.pin_today(on=ON)


@pytest.fixture
def alum() -> Material:
    """2 kg at 5.80 a kilogram, ordered in packs of 2 kg that take 9 days."""
    made = material("ALUMK", lead_days=9, safety_days=3, pack_quantity=D(2))
    delivery(line(made))
    return made


def taw(alum: Material, code: str = "R1") -> RecipeVersion:
    asks = recipes.Line(alum, D(80), "g", "per_litre", step="Bath")
    return recipe(code, asks, steps=list(STEPS), litres_per_skin=D(6))


def plain(words: str) -> str:
    return words.replace("\u00a0", " ")


def of(found: what_if.Answer, code: str = "ALUMK") -> Changed:
    return next(each for each in found.materials if each.material.code == code)


def test_without_a_question_the_shelf_is_as_it_is(alum: Material) -> None:
    found = what_if.answer(Question(), ON)
    assert (found.materials, found.costs) == ((), None)
    assert found.fails.then == "no batch: the shelf and what is ordered are enough"
    assert not found.fails.now


def test_one_more_batch_makes_a_later_plan_fail_and_says_what_to_buy(alum: Material) -> None:
    version = taw(alum)
    batch("B1", version=version, litres=D(12), planned_skins=2, start=day(60))
    found = what_if.answer(Question(extra_batch(version, 3, ON, day(30))), ON)
    # 1.44 kg of 2 leave 0.56 for the 0.96 that B1 takes.
    changed = of(found)
    assert (changed.runs_out.now, changed.runs_out.then) == ("–", formats.day(day(60)))
    assert (changed.order_by.then, changed.order_by.word) == (formats.day(day(60 - 12)), "new")
    assert (changed.buy.now, changed.buy.then) == ("nothing", "one 2 kg pack")
    assert (changed.buy.word, plain(changed.cost.then), plain(changed.cost.word)) == (
        "2 kg more",
        "11.60 €",
        "11.60 € more",
    )
    assert found.fails.word == "changed"
    assert found.fails.then == f"B1 on {formats.day(day(60))}, for want of Material ALUMK"


def test_a_slower_delivery_is_ordered_as_much_earlier_and_nothing_runs_out_sooner(alum: Material) -> None:
    batch("B1", version=taw(alum), litres=D(36), start=day(60))
    twice, thrice = (of(what_if.answer(Question(slower=times), ON)) for times in (2, 3))
    assert (twice.order_by.word, thrice.order_by.word) == ("9 days earlier", "18 days earlier")
    assert not twice.runs_out.word
    assert twice.order_by.then == formats.day(day(60 - 12 - 9))


def test_a_dearer_material_changes_what_is_bought_and_no_day(alum: Material) -> None:
    batch("B1", version=taw(alum), litres=D(36), start=day(60))
    changed = of(what_if.answer(Question(dearer=alum, percent=D(20)), ON))
    assert tuple(map(plain, (changed.cost.now, changed.cost.then, changed.cost.word))) == (
        "11.60 €",
        "13.92 €",
        "2.32 € more",
    )
    assert not changed.order_by.word
    assert not changed.later


def test_least_prices_now_and_then_are_those_of_the_pricing_rules(alum: Material) -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    skin("H1", price=12)
    skin("H2", price=12)
    batch("B1", version=taw(alum), litres=D(12), tags=["H1", "H2"], start=day(5))
    costs = what_if.answer(Question(dearer=alum, percent=D(20)), ON).costs
    assert costs
    (one,) = costs.batches
    # 0.96 kg at 5.80 and at 6.96.
    assert tuple(map(plain, (one.materials.now, one.materials.then, one.materials.word))) == (
        "5.57 €",
        "6.68 €",
        "1.11 € more",
    )
    (pieces,) = one.pieces
    assert pieces.who == "H1, H2"
    for at, price in (("now", F("5.80")), ("then", F("6.96"))):
        book, hours = 12 + F("0.48") * price, F(60 + 2 * 30, 60) / 2
        least = pricing.floors(book, hours, D(16), book + hours * 20, NO_CHANNEL, 2)
        shown = [plain(getattr(each, at)) for each in pieces.lines]
        assert shown == [f"{floor} €" for floor in (least.cash, least.wage, least.full)]
    assert [each.label for each in pieces.lines] == ["Covers cash", "Covers my wage", "Covers everything"]


def test_least_prices_have_the_tax_in_them_that_prices_are_typed_with(alum: Material) -> None:
    """12.00 + 0.48 kg at 5.80 are 14.78, at 6.96 15.34; each with 25 % on it, as on an article's page."""
    registered()
    rates.set_rates(vat_percent=D(25))
    skin("H1", price=12)
    skin("H2", price=12)
    batch("B1", version=taw(alum), litres=D(12), tags=["H1", "H2"], start=day(5))
    costs = what_if.answer(Question(dearer=alum, percent=D(20)), ON).costs
    assert costs
    cash = costs.batches[0].pieces[0].lines[0]
    assert (plain(cash.now), plain(cash.then)) == ("18.48 €", "19.18 €")


def test_what_is_in_a_batch_already_does_not_get_dearer(alum: Material) -> None:
    skin("H1")
    running = batch("B1", version=taw(alum), litres=D(6), tags=["H1"])
    put(running, alum, "0.48")
    costs = what_if.answer(Question(dearer=alum, percent=D(20)), ON).costs
    assert costs
    assert (costs.batches, costs.untouched) == ((), ("B1",))


def test_what_a_plan_does_not_know_how_much_of_is_said(alum: Material) -> None:
    version = recipe("R1", recipes.Line(alum, D(10), "%", "percent_of_weight"))
    batch("B1", version=version, planned_skins=2, start=day(5))
    costs = what_if.answer(Question(dearer=alum, percent=D(20)), ON).costs
    assert costs
    assert [each.expected.name for each in costs.batches] == ["B1"]
    (said,) = (words for words in costs.assumed if words.startswith("B1: "))
    assert said.startswith("B1: Material ALUMK not counted")


def test_one_more_batch_alone_has_costs_without_anything_to_compare(alum: Material) -> None:
    costs = what_if.answer(Question(extra_batch(taw(alum), 2, ON)), ON).costs
    assert costs
    (one,) = costs.batches
    assert (one.expected.name, one.materials.now, plain(one.materials.then)) == (
        "One more batch of 2 skins by R1",
        "",
        "5.57 €",
    )
    assert [pieces.who for pieces in one.pieces] == ["2 skins not named yet"]
    assert (
        "A skin not named yet (one more batch) is counted without a price: none of its kind is known." in costs.assumed
    )


def test_all_three_together(alum: Material) -> None:
    version = taw(alum)
    batch("B1", version=version, litres=D(12), planned_skins=2, start=day(60))
    question = Question(extra_batch(version, 3, ON, day(30)), alum, D(50), slower=2)
    assert question.said == [
        "One more batch of 3 skins by R1",
        "Material ALUMK 50 % dearer",
        "Lead times twice as long",
    ]
    found = what_if.answer(question, ON)
    assert of(found).order_by.then == formats.day(day(60 - 12 - 9))
    assert plain(of(found).cost.then) == "17.40 €"
    assert found.costs
    assert [each.expected.name for each in found.costs.batches] == ["One more batch of 3 skins by R1", "B1"]
    assert plain(found.costs.batches[0].materials.word) == "4.18 € more"  # half of 8.352, of 1.44 kg


def test_without_a_delivery_the_shelfs_average_is_the_price_and_without_both_it_is_said() -> None:
    alum, salt = material("ALUMK", on_hand=2, value=8), material("SALT")
    asks = [recipes.Line(each, D(500), "g", "per_skin") for each in (alum, salt)]
    costs = what_if.answer(Question(extra_batch(recipe("R1", *asks), 1, ON)), ON).costs
    assert costs
    assert plain(costs.batches[0].materials.then) == "2.00 €"
    assert "No price is known of Material SALT: counted as nothing." in costs.assumed


def test_the_largest_batch_is_what_the_shelf_allows() -> None:
    alum = material("ALUMK", on_hand="0.56")
    version = taw(alum)
    dry = recipe("R2", recipes.Line(alum, D(1), "g", "per_skin"))
    ((of_it, allows),) = what_if.largest()
    assert (of_it, allows.words(), allows.limited_by) == (version, "7.0 L, 1 skin", "Material ALUMK")
    assert what_if.largest(dry) == []


def test_days_that_move_far_ahead_are_told_apart_from_what_presses() -> None:
    """Usual use alone, over a year ahead: only its days move."""
    salt = material("SALT", on_hand=100, value=10, on=day(-700), lead_days=9)
    for nth in range(1, 24):
        take(salt, 2, day(-30 * nth))
    found = what_if.answer(Question(slower=4), ON)
    assert [each.material.code for each in found.later] == ["SALT"]
    assert found.pressing == []
    assert found.later[0].order_by.word == "27 days earlier"


@pytest.mark.thorough
def test_queries_grow_neither_with_materials_nor_with_batches(alum: Material) -> None:
    version = taw(alum)

    def asked() -> int:
        question = Question(extra_batch(version, 1, ON), alum, D(20), slower=2)
        with CaptureQueriesContext(connection) as seen:
            what_if.answer(question, ON)
            what_if.largest()
        return len(seen)

    for nth in range(2):
        batch(f"B{nth}", version=version, litres=D(6), planned_skins=1, start=ON + timedelta(days=nth))
        take(material(f"M{nth}", on_hand=10, value=10), 1)
    few = asked()
    for nth in range(2, 9):
        batch(f"B{nth}", version=version, litres=D(6), planned_skins=1, start=ON + timedelta(days=nth))
        take(material(f"M{nth}", on_hand=10, value=10), 1)
    assert asked() == few
