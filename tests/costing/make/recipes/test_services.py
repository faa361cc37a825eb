from __future__ import annotations

from decimal import Decimal
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps

from costing.make.recipes import selectors as read, services as recipes
from costing.models import Recipe, RecipeLine, RecipeVersion
from inventory.errors import Refused
from tests.factories import batch, material

pytestmark = pytest.mark.django_db
D = Decimal


def write(*lines: recipes.Line, **given: Any) -> RecipeVersion:
    return recipes.write(**{"code": "R1", "method": "alum_tawed", "lines": lines, **given})


def line(**given: Any) -> recipes.Line:
    return recipes.Line(
        **{
            "material": given.pop("material", None) or material(),
            "amount": D(80),
            "unit": "g",
            "basis": "per_litre",
            **given,
        }
    )


def test_a_recipe_is_written_as_its_first_version() -> None:
    made = write(line(), name="Taw bath", litres_per_skin=D(6), note="in the big tub")
    assert (made.recipe.code, made.recipe.name, made.number, made.litres_per_skin) == ("R1", "Taw bath", 1, D(6000))


def test_amounts_are_kept_in_base_units_beside_what_was_typed() -> None:
    write(line(amount=D("2.5"), unit="oz"))
    row = RecipeLine.objects.get()
    assert (row.amount, row.typed, row.position) == (D("70.874"), "2.5 oz", 1)


def test_percent_of_weight_is_a_plain_percentage() -> None:
    write(line(amount=D(40), unit="%", basis="percent_of_weight"))
    row = RecipeLine.objects.get()
    assert (row.amount, row.typed) == (D(40), "40 %")
    assert read.typed(row) == (D(40), "%")


def test_a_new_version_follows_the_last_and_leaves_it_as_it_was() -> None:
    alum = material()
    bath = batch(version=write(line(material=alum)))
    second = write(line(material=alum, amount=D(100)))
    bath.refresh_from_db()
    assert (second.number, bath.version.number, bath.version.lines.get().amount) == (2, 1, D(80))


def test_a_version_number_may_be_given_once() -> None:
    alum = material()
    assert write(line(material=alum), number=4).number == 4
    with pytest.raises(Refused, match="has a version 4 already"):
        write(line(material=alum), number=4)
    assert write(line(material=alum)).number == 5


def test_a_code_is_one_recipe_in_any_spelling() -> None:
    alum = material()
    write(line(material=alum))
    assert write(line(material=alum), code="r1").number == 2
    assert Recipe.objects.count() == 1


def test_a_version_does_not_change_the_method() -> None:
    alum = material()
    write(line(material=alum))
    with pytest.raises(Refused, match="R1 is alum-tawed; a version cannot change the method"):
        write(line(material=alum), method="bark")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"code": "R 1"}, "code"),
        ({"method": "magic"}, "method"),
        ({"name": "a\x07"}, "name"),
        ({"note": "x" * 201}, "note"),
        ({"litres_per_skin": D(0)}, "litres_per_skin"),
        ({"number": 0}, "version"),
        ({"number": -1}, "version"),
        ({"number": 40000}, "version"),
    ],
)
def test_a_recipe_that_cannot_be_is_refused_beside_its_field(given: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        write(line(), **given)
    assert refusal.value.field == field
    assert not RecipeVersion.objects.exists()


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"basis": "per_moon"}, "basis"),
        ({"amount": D(0)}, "amount"),
        ({"amount": D(-1)}, "amount"),
        ({"amount": D("NaN")}, "amount"),
        ({"amount": D("0.0001")}, "amount"),
        ({"amount": D("0.0001"), "unit": "%", "basis": "percent_of_weight"}, "amount"),
        ({"unit": "g", "basis": "percent_of_weight"}, "unit"),
        ({"unit": "%"}, "unit"),
        ({"day": -1}, "day"),
        ({"day": 3651}, "day"),
        ({"step": "a\x07"}, "step"),
    ],
)
def test_a_line_that_cannot_be_refuses_the_whole_recipe(given: dict[str, Any], field: str) -> None:
    good = line()
    with pytest.raises(Refused) as refusal:
        write(good, line(material=good.material, **given))
    assert refusal.value.field == field
    assert not Recipe.objects.exists()


def test_a_line_measures_what_its_material_is_kept_in() -> None:
    with pytest.raises(Refused, match=r"measures .* is kept by"):
        write(line(unit="m"))


def test_a_recipe_needs_a_line() -> None:
    with pytest.raises(Refused, match=r"has no lines. Enter at least one material, or the steps"):
        write()


def test_a_form_sent_twice_writes_one_version() -> None:
    one = line()
    assert write(one, request_key="k") == write(one, request_key="k")


STEP: dict[str, Any] = {"name": "Bath", "lasts_days": 11, "every_days": 1, "repeat": "Turn"}


def test_steps_are_frozen_with_their_version_in_their_order() -> None:
    alum = material()
    steps = [recipes.Step(**STEP, task="Take out", minutes=36, uses="tub"), recipes.Step(" Oil ", minutes_per_skin=15)]
    first = write(line(material=alum), steps=steps)
    write(line(material=alum), steps=[recipes.Step("Scrape")])
    assert list(first.steps.values_list("position", "name", "task", "lasts_days", "minutes", "uses")) == [
        (1, "Bath", "Take out", 11, 36, "tub"),
        (2, "Oil", "", 0, 0, ""),
    ]
    assert [step.does for step in first.steps.all()] == ["Take out", "Oil"]


def test_a_recipe_may_have_steps_alone() -> None:
    assert write(steps=[recipes.Step("Scrape and dry", lasts_days=3)]).steps.get().name == "Scrape and dry"
    assert not RecipeLine.objects.exists()


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"name": " "}, "name", "name is missing"),
        ({"name": "x" * 41}, "name", "longer than 40"),
        ({"name": "a\x07"}, "name", "control character"),
        ({"task": "x" * 81}, "task", "longer than 80"),
        ({"caution": "a\x07"}, "caution", "control character"),
        ({"repeat": "x" * 41}, "repeat", "longer than 40"),
        ({"lasts_days": 3651}, "lasts_days", "3651 is not believable. Enter 0 to 3650"),
        ({"wait_days": -1}, "wait_days", "not believable"),
        ({"grace_days": 3651}, "grace_days", "not believable"),
        ({"minutes": 10001}, "minutes", "Enter 0 to 10000"),
        ({"minutes_per_skin": -1}, "minutes_per_skin", "not believable"),
        ({"repeat_minutes": 10001}, "repeat_minutes", "not believable"),
        ({"every_days": 0}, "every_days", "how many days apart “Turn” is, 1 for daily"),
        ({"repeat": ""}, "repeat", "say what is done every 1 days, such as Turn or Drain"),
        ({"lasts_days": 0}, "lasts_days", "Enter how many days it lasts"),
        ({"repeat": "", "every_days": 0, "repeat_minutes": 5}, "repeat", "need a repeat"),
        ({"uses": "moon"}, "uses", "choose tub, frame or none"),
    ],
)
def test_a_step_that_cannot_be_refuses_the_whole_recipe(given: dict[str, Any], field: str, words: str) -> None:
    with pytest.raises(Refused, match=words) as refusal:
        write(line(), steps=[recipes.Step(**{**STEP, **given})])
    assert refusal.value.field == field
    assert not Recipe.objects.exists()


def test_two_steps_of_a_version_have_two_names() -> None:
    with pytest.raises(Refused, match="Two steps are called “bath”") as refusal:
        write(line(), steps=[recipes.Step("Bath"), recipes.Step("bath ")])
    assert refusal.value.field == "name"


def test_a_recipe_holds_no_more_steps_than_its_form_has_rows_for() -> None:
    with pytest.raises(Refused, match="61 steps are more than a recipe holds"):
        write(line(), steps=[recipes.Step(f"Step {nth}") for nth in range(61)])
    assert not Recipe.objects.exists()


def test_lines_from_before_steps_were_named_get_theirs_by_words_and_by_the_calendar_they_were_counted_in() -> None:
    """Bath and oil were counted from the bath, which begins on day 9."""
    old = import_module("costing.migrations.0011_lines_name_their_step")
    steps = [
        recipes.Step("Cure", lasts_days=8),
        recipes.Step("Bath", wait_days=1, lasts_days=11),
        recipes.Step("Oil", wait_days=1),
    ]
    version = write(line(), line(material=material("SODA")), line(material=material("OIL")), steps=steps)
    words = [("bath", 0), ("neutralise in 15 L", 11), ("oil, with as much water", 0)]
    for row, (how, day) in zip(version.lines.all(), words, strict=True):
        RecipeLine.objects.filter(pk=row.pk).update(step=None, how=how, day=day)
    old.by_words_or_day(apps, None)
    tied = [(row.step and row.step.name, row.day, row.how) for row in version.lines.all()]
    assert tied == [("Bath", 9, ""), ("Bath", 20, "neutralise in 15 L"), ("Oil", 21, "with as much water")]
