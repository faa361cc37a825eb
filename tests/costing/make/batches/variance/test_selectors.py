"""A batch against its recipe: amounts for what went in, prices of the shelf when it began, minutes of the steps."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.batches.issues import services as batches
from costing.make.batches.stays import selectors as stays
from costing.make.batches.variance import selectors as variances
from costing.make.batches.variance.views import in_words
from costing.make.cost.rates import services as rates
from costing.make.losses import services as losses
from costing.make.recipes import services as recipes
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.models import Batch
from inventory.base.accounting import services as workshop
from inventory.formats import HARD_SPACE
from inventory.models import Material, Skin
from tests import factories
from tests.factories import DAY, batch, material, put, receive, recipe, skin, work
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
LATER = DAY + timedelta(days=5)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D(0))


def bath(alum: Material, **options: object) -> Batch:
    """10 L by a recipe of 80 g of alum a litre: 0.8 kg."""
    for tag in ("H01", "H02"):
        skin(tag)
    version = recipe("R1", recipes.Line(alum, D(80), "g", "per_litre"), **options)
    return batch("B1", version=version, tags=["H01", "H02"], litres=D(10))


def found(number: str = "B1") -> variances.Variances:
    return variances.of(stays.detailed().get(number=number))


def row(code: str) -> variances.MaterialRow:
    return next(each for each in found().materials if each.material.code == code)


def test_a_dearer_pack_is_by_price_and_a_heavier_hand_by_amount() -> None:
    """0.8 kg at 5.00 planned. 1 kg used out of a shelf that then cost 6.00: 1 × 1.00 by price, 0.2 × 5.00 by amount."""
    alum = material("ALUMK", on_hand=1, value=5, on=DAY - timedelta(days=1))
    made = bath(alum)
    receive(alum, 1, 7, on=LATER)
    put(made, alum, 1, LATER)
    one = row("ALUMK")
    assert (one.planned, one.used, one.price) == (800, 1000, F(5, 1000))
    assert (one.found.price, one.found.usage) == (1, 1)
    assert found().total.total == 2


def test_what_was_used_as_planned_at_the_price_of_the_start_differs_by_nothing() -> None:
    alum = material("ALUMK", on_hand=2, value=10)
    put(bath(alum), alum, "0.8")
    assert (found().total.price, found().total.usage) == (0, 0)


def test_goods_that_came_after_the_start_are_measured_by_their_first_delivery() -> None:
    alum = material("ALUMK")
    made = bath(alum)
    receive(alum, 1, 6, on=LATER)
    receive(alum, 1, 9, on=LATER + timedelta(days=1))
    put(made, alum, "0.8", LATER + timedelta(days=2))
    assert row("ALUMK").price == F(6, 1000)
    assert (row("ALUMK").found.price, row("ALUMK").found.usage) == (F("1.2"), 0)


def test_a_material_that_the_recipe_does_not_name_is_all_by_amount() -> None:
    alum, gloves = material("ALUMK", on_hand=2, value=10), material("GLOVE", "piece", on_hand=10, value=2)
    made = bath(alum)
    put(made, gloves, 5)
    assert (row("GLOVE").planned, row("GLOVE").found.usage) == (0, 1)
    assert (row("ALUMK").used, row("ALUMK").found.usage) == (0, -4)


def test_what_was_taken_back_counts_nothing() -> None:
    alum = material("ALUMK", on_hand=2, value=10)
    made = bath(alum)
    batches.reverse(use=put(made, alum, 1), reason="wrong tub")
    put(made, alum, "0.8")
    assert found().total.total == 0


def test_what_goes_on_each_skin_is_planned_for_those_that_were_there() -> None:
    oil = material("OILN", "L", on_hand=1, value=10)
    for tag in ("A", "B", "C"):
        skin(tag)
    made = batch("B1", version=recipe("R1", recipes.Line(oil, D(80), "mL", "per_skin")), tags=["A", "B", "C"])
    work(batch=made)
    losses.lose(skin=Skin.objects.get(tag="C"), on=DAY, reason="slipped")
    put(made, oil, "0.16", LATER)
    assert row("OILN").planned == 160
    assert found().total.total == 0


def test_salt_that_cures_before_the_recipe_does_not_decide_for_how_many_it_is_planned() -> None:
    salt = material("SALT", on_hand=9, value=9)
    for tag in ("A", "B", "C"):
        skin(tag)
    made = batch("B1", version=recipe("R1", recipes.Line(salt, D(150), "g", "per_skin")), tags=["A", "B", "C"])
    put(made, salt, 6)
    losses.lose(skin=Skin.objects.get(tag="C"), on=DAY, reason="slipped")
    put(made, salt, "0.3", LATER)
    assert row("SALT").planned == 300
    batches.issue(batch=made, on=DAY, amounts=[batches.Amount(salt, D(1), "kg", D(450))])
    assert row("SALT").planned == 450


def test_an_amount_by_weight_of_skins_that_were_not_weighed_is_shown_and_left_out() -> None:
    salt = material("SALT", on_hand=9, value=9)
    skin("A")
    made = batch("B1", version=recipe("R1", recipes.Line(salt, D(40), "%", "percent_of_weight")), tags=["A"])
    put(made, salt, 2)
    assert row("SALT").found is None
    assert "weight of the skins" in row("SALT").missing
    assert found().total.total == 0
    assert "weight of the skins" in text(signed_in().get(reverse("variances", args=["B1"])))


def test_work_differs_by_time_and_paid_help_by_its_pay() -> None:
    """Flesh: 20 min and 20 a skin, 60 in all. Logged 60 own and 30 of help for 5.00: 30 min × 16 more, 8.00 - 5.00 less."""
    alum = material("ALUMK", on_hand=2, value=10)
    made = bath(alum, steps=[Step("Flesh", minutes=20, minutes_per_skin=20), Step("Bath", minutes=99)])
    put(made, alum, "0.8")
    marks.log(batch=made, step=made.version.steps.get(name="Flesh"), kind="done", on=DAY, minutes=D(60))
    work(batch=made, minutes=30, who="Aino", paid=D(5))
    done = found().work
    assert (done.planned, done.logged, done.cost) == (60, 90, 21)
    assert (done.found.usage, done.found.price) == (8, -3)


def test_repeats_are_planned_and_steps_that_are_open_are_not_until_the_batch_is_done() -> None:
    alum = material("ALUMK", on_hand=2, value=10)
    turned = Step("Bath", minutes=30, lasts_days=4, every_days=1, repeat="Turn", repeat_minutes=6)
    made = bath(alum, steps=[turned])
    work(batch=made)
    assert found().work.planned == 0
    factories.finish("H01", on=LATER)
    factories.finish("H02", on=LATER)
    assert found().work.planned == 48


def test_a_wage_that_rose_after_the_start_is_by_pay_and_a_later_one_changes_nothing() -> None:
    """60 minutes planned and logged: half at 16.00, half at 18.00 from the day it rose; 1.00 by pay, nothing by time."""
    skin("H01")
    version = recipe("R1", steps=[Step("Flesh", minutes=60)])
    made = batch("B1", version=version, tags=["H01"])
    rates.set_rates(since=LATER, wage_per_hour=D(18))
    marks.log(batch=made, step=made.version.steps.get(), kind="done", on=DAY)
    work(DAY, 30, batch=made), work(LATER, 30, batch=made)
    rates.set_rates(since=date(2026, 1, 1), wage_per_hour=D(99))
    workshop.pin_today(on=date(2026, 2, 1))
    one = found().work
    assert one is not None
    assert (one.wage, one.found.price, one.found.usage) == (16, 1, 0)


def test_a_recipe_without_steps_plans_no_work() -> None:
    alum = material("ALUMK", on_hand=2, value=10)
    work(batch=bath(alum))
    assert found().work is None


def test_a_variance_is_named_by_what_it_does_to_the_cost() -> None:
    said = [in_words(D(each)).replace(HARD_SPACE, " ") for each in ("2.40", "-0.01", "0")]
    assert said == ["2.40 € more", "0.01 € less", "as planned"]


def test_the_page_says_more_and_less_in_words() -> None:
    client: Client = signed_in()
    alum, gloves = material("ALUMK", on_hand=2, value=10), material("GLOVE", "piece", on_hand=10, value=2)
    made = bath(alum, steps=[Step("Flesh", minutes=45)])
    put(made, gloves, 5)
    put(made, alum, "0.4")
    marks.log(batch=made, step=made.version.steps.get(), kind="done", on=DAY, minutes=D(30))
    address = reverse("variances", args=["B1"])
    assert client.get(reverse("variances", args=["B9"])).status_code == 404
    shown = text(client.get(address))
    for words in ("1.00 € more", "2.00 € less", "4.00 € less", "5.00 € less", "5 pc used, not in the recipe"):
        assert words in shown
    assert reverse("variances", args=["B1"]) in text(client.get(reverse("batch", args=["B1"])))


@pytest.mark.thorough
def test_the_page_takes_as_many_queries_for_thirty_lines_as_for_one() -> None:
    client = signed_in()
    alum = material("ALUMK", on_hand=2, value=10)
    made = bath(alum, steps=[Step("Flesh", minutes=45)])
    put(made, alum, "0.01")
    address = reverse("variances", args=["B1"])
    one = queries(client, address)
    for number in range(15):
        put(made, material(f"M{number}X", on_hand=1, value=1), 1)
        work(batch=made, minutes=1)
    assert queries(client, address) == one
