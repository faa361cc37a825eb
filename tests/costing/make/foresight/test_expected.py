"""What pieces in work will have cost: what they cost so far and what their recipe still asks for, and nothing twice."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.cost.rules import Share
from costing.make.foresight.expected import Expected, of_batches, of_extra
from costing.make.foresight.what_if import extra_batch
from costing.make.recipes import services as recipes
from costing.models import Batch, RecipeVersion
from inventory.models import Material
from tests.factories import batch, days_from, material, put, recipe, skin, work

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
ON = date(2025, 3, 4)
day = days_from(ON)
STEPS = (
    recipes.Step("Bath", lasts_days=11, every_days=5, repeat="Turn", minutes=30, minutes_per_skin=12, repeat_minutes=6),
    recipes.Step("Lace", kind="lace", minutes_per_skin=30),
)


@pytest.fixture
def alum() -> Material:
    return material("ALUMK", on_hand=20, value=100)


def taw(alum: Material, code: str = "R1") -> RecipeVersion:
    """80 g a litre, six litres a skin; 30 minutes and two turns of 6, and 42 minutes for each skin."""
    line = recipes.Line(alum, D(80), "g", "per_litre", step="Bath")
    return recipe(code, line, steps=list(STEPS), litres_per_skin=D(6))


def only(found: list[Expected]) -> Expected:
    (one,) = found
    return one


def total(found: Expected, price: Fraction) -> Share:
    prices = {row.pk: price for row, _ in found.lines}
    return sum((share for _, share in found.shares(prices)), Share())


def test_a_plan_of_unnamed_skins_takes_its_whole_recipe(alum: Material) -> None:
    version = taw(alum)
    skin("H1", price=10)
    skin("H2", price=14)
    batch("B0", version=version, tags=["H1", "H2"])
    Batch.objects.filter(number="B0").update(state="done")
    batch("B1", version=version, litres=D(18), planned_skins=3, start=day(5))
    found = only(of_batches(ON))
    assert (found.name, found.unnamed, [quantity for _, quantity in found.lines]) == ("B1", 3, [D(1440)])
    assert found.skin_price
    assert (found.skin_price.value, found.skin_price.count) == (D(12), 2)
    whole = total(found, F(1, 100))
    assert (whole.skin_price, whole.materials, whole.laces) == (36, F("14.40"), 3)
    assert whole.minutes == whole.own_minutes == 30 + 2 * 6 + 3 * 42


def test_what_is_in_keeps_its_cost_and_only_the_rest_is_priced(alum: Material) -> None:
    version = taw(alum)
    for tag in ("H1", "H2"):
        skin(tag, price=12)
    running = batch("B1", version=version, litres=D(12), tags=["H1", "H2"])
    put(running, alum, "0.96")
    work(minutes=60, batch=running)
    found = only(of_batches(day(1)))
    assert found.lines == ()
    whole = total(found, F(1, 100))
    # 0.96 kg of a shelf at 5 a kilogram.
    assert (whole.skin_price, whole.materials) == (24, F("4.80"))


def test_skins_share_as_their_batch_does(alum: Material) -> None:
    skin("H1", green_weight=D(3000))
    skin("H2", green_weight=D(1000))
    batch("B1", version=taw(alum), litres=D(12), tags=["H1", "H2"], share_by="weight", start=day(3))
    found = only(of_batches(ON))
    (_, heavy), (_, light) = found.shares({alum.pk: F(1)})
    assert heavy.materials == 3 * light.materials == 720
    assert heavy.minutes == 3 * light.minutes
    # Every skin is laced for itself.
    assert heavy.laces == light.laces == 1


def test_some_named_and_some_not_share_by_head(alum: Material) -> None:
    skin("H1", price=20, green_weight=D(3000))
    batch("B1", version=taw(alum), litres=D(18), tags=["H1"], planned_skins=3, share_by="weight", start=day(3))
    found = only(of_batches(ON))
    assert [piece.tag for piece in found.pieces] == ["H1", "", ""]
    assert {share.materials for _, share in found.shares({alum.pk: F(1)})} == {480}


def test_a_batch_that_is_done_is_left_out(alum: Material) -> None:
    batch("B1", version=taw(alum), planned_skins=1)
    Batch.objects.update(state="done")
    assert of_batches(ON) == []


def test_a_plan_without_any_number_of_skins_has_no_pieces(alum: Material) -> None:
    batch("B1", version=taw(alum), litres=D(18), start=day(5))
    found = only(of_batches(ON))
    assert (found.pieces, found.materials({alum.pk: F(1)})) == ((), 1440)


def test_what_nobody_knows_how_much_of_is_named(alum: Material) -> None:
    version = recipe("R1", recipes.Line(alum, D(10), "%", "percent_of_weight"))
    batch("B1", version=version, planned_skins=2, start=day(5))
    found = only(of_batches(ON))
    assert (found.lines, found.missing) == ((), ("Material ALUMK",))
    assert found.takes(alum)


def test_one_more_batch_costs_what_the_same_plan_would(alum: Material) -> None:
    version = taw(alum)
    extra = of_extra(extra_batch(version, 3, ON))
    batch("B1", version=version, litres=D(18), planned_skins=3, start=ON)
    really = only(of_batches(ON))
    assert total(extra, F(1, 7)) == total(really, F(1, 7))
    assert extra.lines == really.lines


@pytest.mark.thorough
def test_queries_do_not_grow_with_batches(alum: Material) -> None:
    version = taw(alum)

    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            of_batches(ON)
        return len(seen)

    for nth in range(2):
        skin(f"H{nth}")
        batch(f"B{nth}", version=version, litres=D(6), tags=[f"H{nth}"], start=day(nth))
    few = asked()
    for nth in range(2, 12):
        skin(f"H{nth}")
        batch(f"B{nth}", version=version, litres=D(6), tags=[f"H{nth}"], start=day(nth))
    assert asked() == few
