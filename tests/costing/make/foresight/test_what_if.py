"""One more batch: what it takes on which days is what a batch that is really planned takes, and nothing of it is kept."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.foresight import selectors as planned, what_if
from costing.make.foresight.what_if import WHY, Needs, extra_batch
from costing.make.recipes import services as recipes
from costing.models import Batch, RecipeVersion
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.foresight import selectors as foresight
from inventory.models import Movement
from tests import factories
from tests.factories import batch, days_from, material, put, recipe, skin

pytestmark = pytest.mark.django_db
D = Decimal
ON = date(2025, 12, 31)
day = days_from(ON)


def by(basis: str, amount: str | int = 10, unit: str = "g", **options: object) -> RecipeVersion:
    """A recipe of one line, on its fifth day."""
    line = recipes.Line(material("ALUMK"), D(amount), unit, basis, day=5)
    return recipe("R1", line, **options)


def taken(found: Needs) -> list[tuple[date, Decimal]]:
    return [(need.on, need.quantity) for _, need in found.lines]


def test_litres_are_the_recipes_for_each_skin() -> None:
    found = extra_batch(by("per_litre", 80, litres_per_skin=D(6)), 3, ON)
    assert (found.litres, taken(found), found.missing) == (D(18), [(day(5), D(1440))], ())
    assert found.words == "One more batch of 3 skins by R1"


def test_gallons_of_a_recipe_come_out_to_the_last_thousandth() -> None:
    version = by("per_us_gallon", 1, "lb", litres_per_skin=D("5.678118"))
    found = extra_batch(version, 2, ON)
    # A US gallon and a half for each of two skins: three pounds.
    assert taken(found) == [(day(5), D("1360.777"))]


def test_without_a_bath_a_skin_the_line_is_named_and_the_others_are_counted() -> None:
    alum, salt = material("ALUMK"), material("SALT")
    version = recipe("R1", recipes.Line(alum, D(80), "g", "per_litre"), recipes.Line(salt, D(150), "g", "per_skin"))
    found = extra_batch(version, 2, ON)
    assert found.litres is None
    assert [(row.code, need.quantity) for row, need in found.lines] == [("SALT", D(300))]
    assert found.missing == ("Material ALUMK per litre of bath: the recipe does not say how large a bath a skin takes",)


def test_weight_is_the_median_of_the_skins_of_the_recipes_batches() -> None:
    version = by("percent_of_weight", 10, "%")
    for tag, grams in (("H1", 3000), ("H2", 5000), ("H3", 9000), ("H4", None)):
        skin(tag, green_weight=grams and D(grams))
    skin("H5", green_weight=D(100))  # never in such a batch
    batch("B1", version=version, tags=["H1", "H2", "H3", "H4"])
    found = extra_batch(version, 2, ON)
    assert taken(found) == [(day(5), D(1000))]
    assert found.assumed[1] == "A green skin weighs 5 kg, the median of 3 skins of R1's batches."


def test_where_none_of_its_batches_was_weighed_the_species_tells() -> None:
    version = by("percent_of_weight", 10, "%")
    skin("H1")
    batch("B1", version=version, tags=["H1"])
    for tag, grams, species in (("H2", 3000, "Sheep"), ("H3", 4000, "Sheep"), ("H4", 9000, "Reindeer")):
        skin(tag, green_weight=D(grams), species=species)
    found = extra_batch(version, 1, ON)
    assert taken(found) == [(day(5), D(350))]
    assert "2 skins of the same species" in found.assumed[1]


def test_before_the_first_batch_the_skins_that_wait_tell() -> None:
    skin("H1", green_weight=D(4000))
    found = extra_batch(by("percent_of_weight", 10, "%"), 1, ON)
    assert "the median of 1 skin of those that wait for a batch" in found.assumed[1]


def test_in_pounds_the_weight_is_said_in_pounds() -> None:
    workshop.set_up(units="us")
    skin("H1", green_weight=D("4535.924"), weight_unit="lb")
    assert extra_batch(by("percent_of_weight", 10, "%"), 1, ON).assumed[1].startswith("A green skin weighs 10 lb, ")


def test_area_is_the_wet_one_where_it_was_measured() -> None:
    version = by("per_dm2", 2)
    skin("H1", wet_area=D(8000), dry_area=D(7000))
    skin("H2", dry_area=D(6000))
    batch("B1", version=version, tags=["H1", "H2"])
    # The median of 80 and 60 dm² for each of two skins.
    assert taken(extra_batch(version, 2, ON)) == [(day(5), D(280))]


@pytest.mark.parametrize(
    ("basis", "unit", "why"),
    [
        ("percent_of_weight", "%", "was weighed green"),
        ("per_sq_ft", "g", "was measured"),
        ("per_metre_edge", "g", "known only of a skin that is there"),
    ],
)
def test_what_nobody_knows_is_named(basis: str, unit: str, why: str) -> None:
    found = extra_batch(by(basis, unit=unit), 1, ON)
    (words,) = found.missing
    assert not found.lines
    assert words.startswith("Material ALUMK ")
    assert words.endswith(why)


def test_it_begins_when_it_is_said_to() -> None:
    found = extra_batch(by("per_bath"), 1, ON, day(10))
    assert (found.start, taken(found)) == (day(10), [(day(15), D(10))])


@pytest.mark.parametrize(
    ("skins", "start", "field"), [(0, None, "skins"), (501, None, "skins"), (-1, None, "skins"), (1, day(-1), "start")]
)
def test_a_batch_that_cannot_be_is_refused(skins: int, start: date | None, field: str) -> None:
    with pytest.raises(Refused) as refusal:
        extra_batch(by("per_bath"), skins, ON, start)
    assert refusal.value.field == field


def test_it_takes_what_a_batch_really_planned_takes_on_the_same_days() -> None:
    alum, salt, oil = material("ALUMK"), material("SALT"), material("OIL", "L")
    steps = [
        recipes.Step("Cure", lasts_days=4),
        recipes.Step("Bath", wait_days=2, lasts_days=11, grace_days=3),
        recipes.Step("Oil", wait_days=1),
    ]
    lines = [
        recipes.Line(oil, D(80), "mL", "per_skin", step="Oil"),
        recipes.Line(alum, D(80), "g", "per_litre", step="Bath"),
        recipes.Line(salt, D(150), "g", "per_bath", step="Bath", day=17),
        recipes.Line(alum, D(5), "g", "per_skin", step="Cure", day=3),
    ]
    version = recipe("R1", *lines, steps=steps, litres_per_skin=D(6))
    found = extra_batch(version, 3, ON, day(4)).by_material
    batch("B1", version=version, start=day(4), litres=D(18), planned_skins=3)
    really = planned.needs(ON)
    assert {pk: sorted((need.on, need.quantity) for need in needs) for pk, needs in found.items()} == {
        pk: sorted((need.on, need.quantity) for need in needs) for pk, needs in really.items()
    }
    assert {need.why for needs in found.values() for need in needs} == {WHY}


def test_one_more_batch_never_lets_a_material_last_longer() -> None:
    """It comes on top of usual use: unlike a plan, it stands in for none of it."""
    alum = material("ALUMK", on_hand="14.5", on=day(-400), lead_days=9, safety_days=3)
    version = recipe("R1", recipes.Line(alum, D(100), "g", "per_skin", day=5))
    for nth in range(1, 12):
        run = batch(f"B{nth}", version=version, start=day(-30 * nth))
        put(run, alum, 1, on=day(-30 * nth))
    Batch.objects.update(state="done")
    (now,), (then,) = foresight.outlooks(ON), foresight.outlooks(ON, extra=extra_batch(version, 1, ON).by_material)
    assert now.forecast.runs_out_on
    assert then.forecast.runs_out_on
    assert then.forecast.runs_out_on <= now.forecast.runs_out_on


def test_nothing_is_kept_and_queries_do_not_grow_with_lines() -> None:
    def asked(code: str, count: int) -> int:
        lines = [recipes.Line(material(f"{code}{nth}"), D(1), "%", "percent_of_weight") for nth in range(count)]
        version = recipe(code, *lines)
        with CaptureQueriesContext(connection) as seen:
            extra_batch(version, 2, ON)
        assert not [query for query in seen if not query["sql"].startswith("SELECT")]
        return len(seen)

    assert asked("R1", 1) == asked("R2", 20)
    assert not Batch.objects.exists()
    assert not Movement.objects.exists()


def test_a_customers_skin_tells_no_price() -> None:
    version = by("per_bath")
    skin("H1", price=14)
    skin("H2", price=0, owner="customer", customer="A. Vuori")
    batch("B1", version=version, tags=["H1", "H2"])
    usual = what_if.usual_price(version.recipe)
    assert usual
    assert (usual.value, usual.count) == (D(14), 1)
    assert what_if.usual_price(factories.recipe("R9").recipe) is None
