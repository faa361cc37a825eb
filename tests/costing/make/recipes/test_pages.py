"""Pages of recipes: the list, one with its versions and chemistry, writing one, writing the next version."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.recipes import services as recipes
from costing.make.recipes.forms import LineForm, StepRowForm
from costing.models import Recipe, RecipeLine, RecipeVersion
from inventory.models import Material
from tests import factories
from tests.inventory.pages import lines, queries, text

pytestmark = pytest.mark.django_db
HEAD = {"code": "R1", "method": "alum_tawed", "name": "Taw bath", "litres_per_skin": "6", "request_key": "k1"}


def row(material: Material, amount: str, unit: str = "g", basis: str = "per_litre", **more: Any) -> dict[str, Any]:
    return {"material": material.pk, "amount": amount, "unit": unit, "basis": basis, **more}


def bath_recipe() -> RecipeVersion:
    alum = factories.material("ALUMK", substance="potash_alum")
    soda = factories.material("SODACRYS", substance="washing_soda_crystals")
    return factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre"),
        recipes.Line(soda, Decimal(20), "g", "per_litre"),
        litres_per_skin=Decimal(6),
    )


def test_pages_open_for_the_owner(client: Client) -> None:
    factories.recipe("R1")
    names = [("recipes", []), ("recipe_new", []), ("recipe", ["R1"]), ("recipe_version_new", ["R1"])]
    for name, args in names:
        address = reverse(name, args=args)
        assert client.get(address).status_code == 200
    assert client.get(reverse("recipe", args=["R9"])).status_code == 404


def test_no_recipe_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("recipes")))
    assert "No recipe yet" in page
    assert reverse("recipe_new") in page


def test_a_recipe_is_written_once_though_sent_twice(client: Client) -> None:
    alum, salt = factories.material("ALUMK"), factories.material("SALT")
    sent = HEAD | lines(row(alum, "80", how="bath", day="9"), {}, row(salt, "0,04", "kg"))
    for _ in range(2):
        assert client.post(reverse("recipe_new"), sent)["location"] == reverse("recipe", args=["R1"])
    version = RecipeVersion.objects.get()
    assert (version.number, version.litres_per_skin) == (1, Decimal(6000))
    assert list(version.lines.values_list("material__code", "amount", "basis", "how", "day")) == [
        ("ALUMK", Decimal(80), "per_litre", "bath", 9),
        ("SALT", Decimal(40), "per_litre", "", 0),
    ]


def test_without_a_unit_the_amount_is_in_the_unit_of_the_shelf_or_percent(client: Client) -> None:
    salt = factories.material("SALT")
    sent = HEAD | lines(row(salt, "0.04", ""), row(salt, "40", "", "percent_of_weight"))
    assert client.post(reverse("recipe_new"), sent).status_code == 302
    assert list(RecipeLine.objects.values_list("amount", "typed")) == [(Decimal(40), "0.04 kg"), (Decimal(40), "40 %")]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"amount": "0"}, "amount", "Enter how much"),
        ({"amount": "-80"}, "amount", "more than nothing"),
        ({"amount": "much"}, "amount", "is not a figure"),
        ({"unit": "m"}, "unit", "measures length"),
        ({"unit": "us_cup"}, "unit", "density"),
        ({"material": ""}, "material", "Choose the material"),
        ({"basis": ""}, "basis", "Choose what the amount is for"),
        ({"day": "-1"}, "day", "greater than or equal to 0"),
    ],
)
def test_a_wrong_line_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    alum = factories.material("ALUMK")
    answer = client.post(reverse("recipe_new"), HEAD | lines(row(alum, "80"), row(alum, "80") | wrong))
    assert said in answer.context["rows"].forms[1].errors[field][0]
    assert not answer.context["rows"].forms[0].errors
    assert any(told.startswith("Line 2") for told in answer.context["form"].non_field_errors())
    assert not Recipe.objects.exists()


def test_a_recipe_without_lines_is_refused(client: Client) -> None:
    answer = client.post(reverse("recipe_new"), HEAD | lines({}, {}))
    assert "has no lines" in text(answer)
    assert not Recipe.objects.exists()


def test_a_code_in_use_is_refused_beside_its_box(client: Client) -> None:
    factories.recipe("R1")
    alum = factories.material("ALUMK")
    answer = client.post(reverse("recipe_new"), HEAD | lines(row(alum, "80")))
    assert answer.status_code == 200
    assert "R1 has a version 1 already" in text(answer)
    assert RecipeVersion.objects.count() == 1


def test_more_lines_keep_what_was_typed_and_write_nothing(client: Client) -> None:
    alum = factories.material("ALUMK")
    sent = HEAD | lines(row(alum, "eighty"), {}) | {"more": "1"}
    answer = client.post(reverse("recipe_new"), sent)
    page = answer.content.decode()
    assert 'name="rows-TOTAL_FORMS" value="5"' in page
    assert 'value="eighty"' in page
    assert f'<option value="{alum.pk}" selected' in page
    assert 'value="Taw bath"' in page
    assert 'value="k1"' in page
    assert "Please correct this" not in page
    assert not Recipe.objects.exists()


def test_the_next_version_opens_with_the_last_ones_lines(client: Client) -> None:
    bath_recipe()
    answer = client.get(reverse("recipe_version_new", args=["R1"]))
    page = answer.content.decode()
    assert 'value="80"' in page
    assert 'value="20"' in page
    assert 'name="litres_per_skin" value="6"' in page


def test_the_next_version_leaves_the_last_as_it_was(client: Client) -> None:
    first = bath_recipe()
    alum = Material.objects.get(code="ALUMK")
    sent = {"name": "", "litres_per_skin": "", "note": "weaker", "request_key": "k2"} | lines(row(alum, "60"))
    for _ in range(2):
        assert client.post(reverse("recipe_version_new", args=["R1"]), sent).status_code == 302
    assert list(RecipeVersion.objects.order_by("number").values_list("number", flat=True)) == [1, 2]
    assert [line.amount for line in first.lines.all()] == [Decimal(80), Decimal(20)]
    page = text(client.get(reverse("recipe", args=["R1"])))
    assert "Version 1" in page
    assert "weaker" in page


def test_alum_and_soda_show_their_facts_with_a_caution(client: Client) -> None:
    """80 g potash alum and 20 g soda crystals a litre: basicity 27.6 % as in the demo year, 1.7 L of gas a litre."""
    bath_recipe()
    page = text(client.get(reverse("recipe", args=["R1"])))
    assert "27.6" in page
    assert "0.169 mol" in page
    assert "pour slowly, open vessel, never seal" in page
    assert "read the supplier's safety data sheet" in page


@pytest.mark.parametrize(
    ("step", "day", "met"),
    [("Bath", 3, True), ("Bath", 11, True), ("Rinse", None, False)],
    ids=["on the third day of the bath", "as it ends", "in a rinse after it"],
)
def test_alum_and_soda_meet_in_one_tub_on_whichever_day_each_goes_in(
    client: Client, step: str, day: int | None, met: bool
) -> None:
    alum = factories.material("ALUMK", substance="potash_alum")
    soda = factories.material("BICARB", substance="baking_soda")
    factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre", "Bath"),
        recipes.Line(soda, Decimal(10), "g", "per_litre", step, day),
        steps=[recipes.Step("Bath", lasts_days=11, uses="tub"), recipes.Step("Rinse")],
    )
    assert ("Where alum and soda meet" in text(client.get(reverse("recipe", args=["R1"])))) == met


def test_the_page_names_the_batches_that_used_it(client: Client) -> None:
    factories.batch("B7", version=bath_recipe())
    assert reverse("batch", args=["B7"]) in text(client.get(reverse("recipe", args=["R1"])))


def test_of_many_batches_the_last_come_first_in_pages(client: Client) -> None:
    version = bath_recipe()
    for number in range(1, 28):
        factories.batch(f"B{number}", version=version)
    shown = text(client.get(reverse("recipe", args=["R1"])))
    assert "27 batches" in shown
    assert reverse("batch", args=["B27"]) in shown
    assert reverse("batch", args=["B2"]) not in shown
    assert reverse("batch", args=["B2"]) in text(client.get(reverse("recipe", args=["R1"]), {"batches": "2"}))


def test_the_list_is_found_by_code_name_and_method(client: Client) -> None:
    factories.recipe("R1", name="Taw bath")
    factories.recipe("R3", name="Bark", method="bark")
    by_word = text(client.get(reverse("recipes"), {"words": "taw"}))
    assert reverse("recipe", args=["R1"]) in by_word
    assert reverse("recipe", args=["R3"]) not in by_word
    assert reverse("recipe", args=["R1"]) not in text(client.get(reverse("recipes"), {"method": "bark"}))


@pytest.mark.thorough
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    factories.batch("B1", version=factories.recipe("R01"))
    one = queries(client, reverse("recipes"))
    for number in range(2, 31):
        factories.recipe(f"R{number:02d}")
    assert queries(client, reverse("recipes")) == one


@pytest.mark.thorough
def test_a_recipe_takes_as_many_queries_for_thirty_lines_and_versions_as_for_one(client: Client) -> None:
    alum = factories.material("ALUMK")
    line = recipes.Line(alum, Decimal(80), "g", "per_litre")
    factories.batch("B1", version=factories.recipe("R1", line, steps=[recipes.Step("Bath")]))
    one = queries(client, reverse("recipe", args=["R1"]))
    form = queries(client, reverse("recipe_version_new", args=["R1"]))
    for number in range(10):
        steps = [recipes.Step(f"Step {nth}") for nth in range(3)]
        factories.batch(f"C{number}", version=factories.recipe("R1", *[line] * 10, steps=steps))
    assert queries(client, reverse("recipe", args=["R1"])) == one
    assert queries(client, reverse("recipe_version_new", args=["R1"])) == form


def step_rows(*rows: dict[str, Any]) -> dict[str, Any]:
    return {name.replace("rows-", "steps-"): value for name, value in lines(*rows).items()}


BATH = {"name": "Bath", "task": "Take out", "lasts_days": "11", "grace_days": "3", "repeat": "Turn", "every_days": "1"}
MINUTES = {"minutes": "30", "minutes_per_skin": "2", "repeat_minutes": "6"}


def test_a_recipe_is_written_with_its_steps_in_order(client: Client) -> None:
    sent = HEAD | lines(row(factories.material(), "80", step="bath", day="3"))
    sent |= step_rows(
        BATH | MINUTES | {"uses": "tub", "caution": "Mind the folds."}, {}, {"name": "Oil", "wait_days": "1"}
    )
    assert client.post(reverse("recipe_new"), sent).status_code == 302
    bath, oil = RecipeVersion.objects.get().steps.all()
    assert (bath.name, bath.task, bath.lasts_days, bath.grace_days, bath.every_days) == ("Bath", "Take out", 11, 3, 1)
    assert (bath.minutes, bath.minutes_per_skin, bath.repeat_minutes, bath.uses) == (30, 2, 6, "tub")
    assert bath.lines.get().day == 3
    assert (bath.caution, oil.position, oil.name, oil.wait_days) == ("Mind the folds.", 2, "Oil", 1)


def test_what_to_mind_is_one_line_however_its_box_broke_it(client: Client) -> None:
    given = {"name": "Oil", "caution": "Rags heat up:\r\nlay them flat\r\n\r\noutdoors."}
    client.post(reverse("recipe_new"), HEAD | lines({}) | step_rows(given))
    assert RecipeVersion.objects.get().steps.get().caution == "Rags heat up: lay them flat outdoors."


def test_a_recipe_of_steps_alone_is_written(client: Client) -> None:
    sent = HEAD | lines({}) | step_rows({"name": "Scrape and dry", "lasts_days": "3"})
    assert client.post(reverse("recipe_new"), sent).status_code == 302
    assert "Nothing goes in: hands and days alone." in text(client.get(reverse("recipe", args=["R1"])))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"name": ""}, "name", "Name the step, or empty the row"),
        ({"name": "a\x07"}, "name", "control character"),
        ({"lasts_days": "x"}, "lasts_days", "whole number"),
        ({"lasts_days": "9999"}, "lasts_days", "less than or equal to 3650"),
        ({"wait_days": "-1"}, "wait_days", "greater than or equal to 0"),
        ({"minutes": "10001"}, "minutes", "less than or equal to 10000"),
        ({"every_days": ""}, "every_days", "how many days apart “Turn” is"),
        ({"repeat": ""}, "repeat", "say what is done every 1 days"),
        ({"lasts_days": ""}, "lasts_days", "Enter how many days it lasts"),
        ({"uses": "moon"}, "uses", "Select a valid choice"),
    ],
)
def test_a_wrong_step_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, words: str
) -> None:
    sent = HEAD | lines(row(factories.material(), "80")) | step_rows(BATH | wrong)
    answer = client.post(reverse("recipe_new"), sent)
    assert answer.status_code == 200
    assert words in answer.context["steps"].forms[0].errors[field][0]
    assert words in " ".join(answer.context["form"].non_field_errors())
    assert "name" not in answer.context["form"].errors
    assert not Recipe.objects.exists()


def test_two_steps_of_one_name_are_refused_beside_the_second(client: Client) -> None:
    sent = HEAD | lines(row(factories.material(), "80")) | step_rows({"name": "Bath"}, {"name": "bath"})
    answer = client.post(reverse("recipe_new"), sent)
    first, second = answer.context["steps"].forms
    assert not first.errors
    assert "Another step has this name" in second.errors["name"][0]
    assert not Recipe.objects.exists()


def test_more_steps_keep_what_was_typed_and_leave_the_lines_as_they_were(client: Client) -> None:
    sent = HEAD | lines({}, {}) | step_rows({"name": "Bath", "lasts_days": "eleven"}) | {"more": "steps"}
    page = client.post(reverse("recipe_new"), sent).content.decode()
    assert 'name="steps-TOTAL_FORMS" value="4"' in page
    assert 'name="rows-TOTAL_FORMS" value="2"' in page
    assert 'value="eleven"' in page
    page = client.post(reverse("recipe_new"), sent | {"more": "1"}).content.decode()
    assert 'name="steps-TOTAL_FORMS" value="1"' in page
    assert 'name="rows-TOTAL_FORMS" value="5"' in page


def test_the_next_version_opens_with_the_last_ones_steps_and_writes_them_again(client: Client) -> None:
    first = factories.recipe("R1", steps=[recipes.Step("Bath", task="Take out", lasts_days=11, uses="tub")])
    page = client.get(reverse("recipe_version_new", args=["R1"])).content.decode()
    for shown in ('value="Bath"', 'value="Take out"', 'value="11"', '<option value="tub" selected'):
        assert shown in page
    assert 'name="steps-TOTAL_FORMS" value="3"' in page
    sent = {"name": "", "litres_per_skin": "", "note": "", "request_key": "k2"}
    sent |= lines(row(factories.material(), "80", step="Bath")) | step_rows({"name": "Bath", "lasts_days": "9"})
    assert client.post(reverse("recipe_version_new", args=["R1"]), sent).status_code == 302
    assert [version.steps.get().lasts_days for version in RecipeVersion.objects.order_by("number")] == [11, 9]
    assert first.steps.get().task == "Take out"


def test_the_page_shows_steps_with_waiting_days_and_hands_apart(client: Client) -> None:
    bath = {"lasts_days": 11, "grace_days": 3, "every_days": 1, "repeat": "Turn", "repeat_minutes": 6, "uses": "tub"}
    factories.recipe(
        "R1",
        steps=[
            recipes.Step("Bath", minutes=30, minutes_per_skin=2, caution="Mind the folds.", **bath),
            recipes.Step("Oil", wait_days=1, minutes_per_skin=13),
        ],
    )
    page = text(client.get(reverse("recipe", args=["R1"])))
    assert '12<span class="unit">days</span>' in page
    assert "1.50 h" in page  # 30 minutes and ten turns of 6
    assert "0.25 h" in page  # 2 + 13 minutes a skin
    for shown in (
        "Turn, daily",
        "safe 3 more",
        "6 min each",
        "13 min a skin",
        ", a tub",
        "begins 1 day later",
        "Mind the folds.",
    ):
        assert shown in page


def test_a_recipe_without_steps_says_what_it_lacks(client: Client) -> None:
    factories.recipe("R1")
    assert "nothing says what is due in its batches" in text(client.get(reverse("recipe", args=["R1"])))


def test_every_box_of_a_step_reaches_the_page() -> None:
    shown = (*StepRowForm.together, *StepRowForm.besides)
    assert sorted(name for members in shown for name in members) == sorted(StepRowForm.base_fields)


def test_every_box_of_a_line_reaches_the_page() -> None:
    boxes = [name for name, field in LineForm.base_fields.items() if not field.widget.is_hidden]
    shown = (*LineForm.together, *LineForm.besides)
    assert sorted(name for members in shown for name in members) == sorted(boxes)


TUB = {"name": "Bath", "lasts_days": "11", "uses": "tub"}


@pytest.mark.parametrize(
    ("typed", "day"),
    [({}, 2), ({"day": "3"}, 5), ({"at_end": "on"}, 13), ({"day": "11"}, 13)],
    ids=["as it begins", "on its third day", "as it ends", "on its last day"],
)
def test_a_line_is_written_in_the_days_of_its_step(client: Client, typed: dict[str, str], day: int) -> None:
    sent = HEAD | lines(row(factories.material(), "80", step="bath", **typed))
    sent |= step_rows({"name": "Cure", "lasts_days": "2"}, TUB)
    assert client.post(reverse("recipe_new"), sent).status_code == 302
    (line,) = RecipeVersion.objects.get().lines.all()
    assert (line.step and line.step.name, line.day) == ("Bath", day)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({}, "step", "Name the step in which Material ALUMK goes in: Cure, Bath."),
        ({"step": "Bth"}, "step", "no step “Bth”"),
        ({"step": "Bath", "day": "12"}, "day", "Bath lasts 11 days: enter a day of it"),
        ({"step": "Bath", "day": "3", "at_end": "on"}, "day", "not both"),
        ({"step": "Cure", "day": "1"}, "day", "Cure is done in a day"),
    ],
)
def test_a_line_that_names_no_day_of_a_step_is_refused_beside_its_box(
    client: Client, typed: dict[str, str], field: str, words: str
) -> None:
    fine = row(factories.material("SALT"), "40", step="Bath")
    sent = HEAD | lines(fine, row(factories.material(), "80", **typed)) | step_rows({"name": "Cure"}, TUB)
    answer = client.post(reverse("recipe_new"), sent)
    assert words in text(answer)
    assert words in str(answer.context["rows"].forms[1].errors[field])
    assert not RecipeVersion.objects.exists()


@pytest.mark.thorough
def test_the_next_version_keeps_a_line_in_its_place_when_the_steps_before_it_grow(client: Client) -> None:
    alum = factories.material()
    steps = [recipes.Step("Cure", lasts_days=2), recipes.Step("Bath", lasts_days=11)]
    written = [recipes.Line(alum, Decimal(80), "g", "per_litre", "Bath", day, "slowly") for day in (2, 5, 13)]
    factories.recipe("R1", *written, steps=steps)
    page = client.get(reverse("recipe_version_new", args=["R1"]))
    given = [form.initial for form in page.context["rows"].forms[:3]]
    assert [(row["step"], row["day"], row["at_end"], row["how"]) for row in given] == [
        ("Bath", None, False, "slowly"),
        ("Bath", 3, False, "slowly"),
        ("Bath", None, True, "slowly"),
    ]
    typed = [
        row(alum, "80", **{name: value for name, value in shown.items() if name in ("step", "day", "at_end") and value})
        for shown in given
    ]
    sent = {"name": "", "litres_per_skin": "", "note": "", "request_key": "k2"} | lines(*typed)
    client.post(
        reverse("recipe_version_new", args=["R1"]),
        sent | step_rows({"name": "Cure", "lasts_days": "9"}, {"name": "Bath", "lasts_days": "20"}),
    )
    assert list(RecipeVersion.objects.get(number=2).lines.values_list("day", flat=True)) == [9, 12, 29]
