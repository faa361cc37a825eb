"""The table of pages and of things with a page, and the frame that every page takes from it."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.urls import reverse

from inventory.web import trail
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", trail.LABELS)
def test_every_page_of_the_table_is_there(name: str) -> None:
    assert reverse(name)


@pytest.mark.parametrize("name", trail.KINDS)
def test_every_kind_of_thing_is_a_table_with_a_page_below_pages_of_the_table(name: str) -> None:
    code, above = trail.KINDS[name]
    (model,) = [model for model in apps.get_models() if model._meta.model_name == name]
    assert code == "pk" or model._meta.get_field(code).unique
    assert reverse(name, args=["1"])
    assert set(above) <= set(trail.LABELS)


def test_the_way_to_a_page_below_a_thing_leads_through_its_section_and_its_own_page() -> None:
    skin = factories.skin("H01/2")
    shown = trail.frame("Move H01/2", trail.to(skin, ("Steps", "/there/")))
    assert shown["section"] == "Skins"
    assert shown["trail"] == [("Skins", "/skins/"), ("H01/2", "/skins/H01~2/"), ("Steps", "/there/")]


def test_a_page_without_a_way_has_the_section_it_is_given_or_none() -> None:
    assert trail.frame("On the shelf", section="Shelf")["section"] == "Shelf"
    assert trail.frame("My password") == {"title": "My password", "section": "", "trail": []}


def test_a_thing_without_a_page_of_its_own_is_known_to_have_none() -> None:
    assert trail.has_page(factories.skin("H02"))
    assert not trail.has_page(factories.place("Crate"))
