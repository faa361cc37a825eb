"""Outlines of common practice: each fills the ordinary form, holds no amount, and saves once the maker filled the blanks."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from costing.make.baths.chemistry import cautions
from costing.make.recipes.forms import LineForm, StepRowForm
from costing.make.recipes.outlines import rules
from costing.make.recipes.outlines.rules import Outline
from costing.models import RecipeVersion
from inventory import substances, units
from tests import factories
from tests.inventory.pages import text

pytestmark = pytest.mark.django_db
OUTLINES = list(rules.outlines().values())
each = pytest.mark.parametrize("outline", OUTLINES, ids=lambda one: one.slug)
BATH = rules.outlines()["alum-bath"]


def stock(outline: Outline) -> None:
    """The shelf knows every material of the outline."""
    for line in outline.materials:
        factories.material(line.code, name=line.material, unit=line.unit, substance=line.substance)


def page(client: Client, outline: Outline, **more: str) -> HttpResponse:
    return client.get(reverse("recipe_new"), {"outline": outline.slug, **more})


def boxes(answer: HttpResponse) -> dict[str, Any]:
    """What a browser would send of the open page."""
    shown = answer.context
    forms = [
        shown["form"],
        shown["rows"].management_form,
        *shown["rows"],
        shown["steps"].management_form,
        *shown["steps"],
    ]
    found = {form.add_prefix(name): form[name].value() for form in forms for name in form.fields}
    return {name: "" if value is None else value for name, value in found.items() if value is not False}


def filled(answer: HttpResponse, amount: str = "7") -> dict[str, Any]:
    sent = boxes(answer)
    blanks = [name for name in sent if re.fullmatch(r"rows-\d+-amount", name)]
    return sent | {name: amount for name in blanks if sent[name.replace("amount", "wanted")]}


@each
def test_an_outline_holds_days_and_words_and_no_amount_and_no_minutes(outline: Outline) -> None:
    assert all(set(step) <= set(StepRowForm.base_fields) for step in outline.steps)
    assert not any({"minutes", "minutes_per_skin", "repeat_minutes"} & set(step) for step in outline.steps)
    assert not hasattr(outline.lines[0], "amount")
    said = " ".join([outline.about, outline.fits, *(line.how for line in outline.lines)])
    said += " ".join(str(step.get("task")) + step["caution"] for step in outline.steps)
    assert not re.search(r"\d", said)


@each
def test_what_an_outline_names_is_known(outline: Outline) -> None:
    for line in outline.lines:
        assert line.unit in units.KNOWN
        assert not line.substance or line.substance in substances.SUBSTANCES
        assert line.basis in dict(LineForm.base_fields["basis"].choices)
        assert line.goes_in in {step["name"] for step in outline.steps}


@pytest.mark.thorough(but=2)
@each
def test_with_its_blanks_filled_an_outline_is_a_recipe_whose_lines_belong_to_steps(
    client: Client, outline: Outline
) -> None:
    stock(outline)
    answer = client.post(f"{reverse('recipe_new')}?outline={outline.slug}", filled(page(client, outline)))
    assert answer.status_code == 302, answer.context["form"].errors
    version = RecipeVersion.objects.get()
    assert answer["location"] == reverse("recipe", args=[outline.code])
    assert [step.name for step in version.steps.all()] == [step["name"] for step in outline.steps]
    assert [(line.material.name, line.step.name if line.step else "") for line in version.lines.all()] == [
        (line.material, line.goes_in) for line in outline.lines
    ]
    assert all(step.caution for step in version.steps.all())


@each
def test_each_step_has_the_usual_cautions_of_its_trade_word_or_its_own(outline: Outline) -> None:
    for step in outline.steps:
        usual = cautions.for_step(f"{step['name']} {step.get('task', '')}")
        assert step["caution"]
        if step["kind"] in ("bath", "flesh", "oil"):
            assert usual, step["name"]


def test_the_page_says_common_practice_and_offers_each_outline(client: Client) -> None:
    shown = text(client.get(reverse("recipe_outlines")))
    assert "Common practice, no source" in shown
    for outline in OUTLINES:
        assert f"{reverse('recipe_new')}?outline={outline.slug}" in shown


def test_a_blank_amount_of_a_chosen_material_is_refused_and_names_the_line(client: Client) -> None:
    stock(BATH)
    sent = filled(page(client, BATH)) | {"rows-1-amount": ""}
    shown = text(client.post(f"{reverse('recipe_new')}?outline={BATH.slug}", sent))
    assert "Line 2, amount: Enter how much, or empty the row." in shown
    assert "The outline means: Potash alum." in shown
    assert not RecipeVersion.objects.exists()


def test_a_line_left_without_material_and_amount_is_left_out_and_named(client: Client) -> None:
    stock(BATH)
    sent = filled(page(client, BATH)) | {"rows-4-amount": "", "rows-4-material": ""}
    answer = client.post(f"{reverse('recipe_new')}?outline={BATH.slug}", sent, follow=True)
    assert "ALUM-BATH v1 is saved. Left out: Baking soda." in text(answer)
    assert RecipeVersion.objects.get().lines.count() == len(BATH.lines) - 1


@pytest.mark.thorough
def test_a_material_that_the_shelf_lacks_is_offered_with_what_it_is_and_the_way_back(client: Client) -> None:
    factories.material("SALT", name="Sea salt", substance="salt")
    factories.material("AS18", name="Alum", substance="aluminium_sulphate_18")
    answer = page(client, BATH)
    shown = text(answer)
    assert "Add Potash alum</a>" in shown
    assert "Add Fine salt</a>" not in shown
    assert answer.context["rows"].forms[1]["material"].value() is None
    link = re.search(r'href="([^"]+)">Add Potash alum', shown)
    assert link
    there = client.get(link[1].replace("&amp;", "&"))
    assert {name: there.context["form"][name].value() for name in ("code", "name", "unit", "substance")} == {
        "code": "ALUMK",
        "name": "Potash alum",
        "unit": "kg",
        "substance": "potash_alum",
    }
    saved = client.post(link[1].replace("&amp;", "&"), {**boxes_of(there.context["form"])})
    assert saved["location"] == f"{reverse('recipe_new')}?outline=alum-bath"


def boxes_of(form: Any) -> dict[str, Any]:
    return {name: form[name].value() or "" for name in form.fields}


def test_an_unknown_outline_opens_the_plain_form(client: Client) -> None:
    assert client.get(reverse("recipe_new"), {"outline": "none"}).context["rows"].forms[0]["wanted"].value() is None


@pytest.mark.thorough
def test_a_saved_outline_goes_back_to_where_the_maker_came_from(client: Client) -> None:
    stock(BATH)
    sent = filled(page(client, BATH))
    assert client.post(f"{reverse('recipe_new')}?outline={BATH.slug}&next=/", sent)["location"] == "/"
    sent = filled(page(client, BATH)) | {"code": "R2"}
    away = client.post(f"{reverse('recipe_new')}?outline={BATH.slug}&next=https://example.com/", sent)
    assert away["location"] == reverse("recipe", args=["R2"])
