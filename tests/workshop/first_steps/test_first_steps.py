"""A newcomer's list on Today: it ticks itself from what exists, leads to the right form and back, and is gone for good."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from costing.models import RecipeVersion
from inventory.articles import services as articles
from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.errors import NotAllowed
from inventory.models import Workshop
from inventory.people import services as people
from tests import factories
from tests.inventory.pages import queries, signed_in, text
from workshop.first_steps import selectors as first_steps
from workshop.first_steps.checklist import FirstStep, checklist

pytestmark = pytest.mark.django_db
WHAT = ["Name and currency", "Your first material", "Your first skins", "A recipe", "A batch", "A price"]


@pytest.fixture
def client(db: None) -> Client:
    """The owner of a workshop in which nothing is."""
    accounting.set_up()
    return signed_in(people.owner())


def lines() -> list[FirstStep]:
    return checklist(first_steps.progress())


def done() -> list[str]:
    return [line.what for line in lines() if line.done]


def recipe() -> RecipeVersion:
    return factories.recipe("R1")


def test_an_empty_workshop_shows_six_steps_and_the_first_is_next(client: Client) -> None:
    shown = text(client.get("/"))
    assert "<h1>Welcome</h1>" in shown
    assert [line.what for line in lines()] == WHAT
    assert [line.next for line in lines()] == [True, False, False, False, False, False]
    assert all(line.url.replace("&", "&amp;") in shown for line in lines())
    assert len(re.findall(r'class="btn" href="[^"]+next=', shown)) == 1


def test_each_step_ticks_itself_from_what_exists(client: Client) -> None:
    assert done() == []
    accounting.set_up(name="Creek Hides")
    assert done() == WHAT[:1]
    factories.material("SALT")
    assert done() == WHAT[:2]
    factories.skin("H01")
    assert done() == WHAT[:3]
    version = recipe()
    assert done() == WHAT[:4]
    assert lines()[4].url == f"/batches/new/?version={version.pk}&skin=H01&next=%2F"
    factories.batch("B1", version=version, tags=["H01"])
    assert done() == WHAT[:5]
    assert lines()[5].next


def test_the_maker_s_own_name_names_the_workshop_too(client: Client) -> None:
    accounting.set_up(maker="J. Doe")
    assert done() == WHAT[:1]


def test_several_skins_are_chosen_on_the_page_and_a_single_one_is_taken_along(client: Client) -> None:
    factories.skin("H01")
    assert lines()[5].url == "/articles/finish/?skin=H01&next=%2F"
    factories.skin("H02")
    assert lines()[5].url == "/articles/finish/?next=%2F"


def test_a_finished_piece_leads_to_its_least_price_and_the_first_price_ends_the_list(client: Client) -> None:
    piece = factories.article("H01")
    assert lines()[5].url == reverse("article", args=["H01"])
    assert "Six steps to your first price" in text(client.get("/"))
    articles.set_price(article=piece, list_price=None)
    assert not workshop.current().first_steps_over
    articles.set_price(article=piece, list_price=Decimal(120))
    workshop.forget()
    assert "Six steps to your first price" not in text(client.get("/"))
    articles.set_price(article=piece, list_price=None)
    assert "Six steps to your first price" not in text(client.get("/"))


def test_a_piece_finished_with_its_price_ends_the_list(client: Client) -> None:
    factories.article("H01", list_price=Decimal(120))
    assert Workshop.objects.get().first_steps_over


def test_put_away_it_stays_away(client: Client) -> None:
    assert client.get(reverse("first_steps_over")).status_code == 405
    assert client.post(reverse("first_steps_over"))["location"] == "/"
    shown = text(client.get("/"))
    assert "put away" in shown
    assert "Six steps" not in text(client.get("/"))


def test_only_who_may_set_up_sees_it_and_puts_it_away(client: Client) -> None:
    helper = people.add(name="Mia", role="helper")
    assert "Six steps" not in text(signed_in(helper).get("/"))
    assert signed_in(helper).post(reverse("first_steps_over")).status_code == 403
    with pytest.raises(NotAllowed):
        accounting.end_first_steps(by=helper)


@pytest.mark.thorough
def test_the_list_takes_two_queries_and_none_once_it_is_over(client: Client) -> None:
    with CaptureQueriesContext(connection) as seen:
        first_steps.progress()
    assert len(seen) == 2
    with_it = queries(client, "/")
    accounting.end_first_steps()
    with CaptureQueriesContext(connection) as after:
        client.get("/")
    assert with_it - len(after) >= 2
    assert not any("list_price" in query["sql"] and "EXISTS" in query["sql"] for query in after)


def test_a_workshop_that_had_begun_before_is_not_asked_to_begin_again(client: Client) -> None:
    from importlib import import_module

    change = import_module("inventory.migrations.0012_first_steps")
    change.no_newcomer(apps, None)
    assert not Workshop.objects.get().first_steps_over
    factories.skin("H01")
    change.no_newcomer(apps, None)
    assert Workshop.objects.get().first_steps_over


def test_each_form_of_the_list_comes_back_to_it_saved_or_cancelled(client: Client) -> None:
    factories.skin("H01")
    recipe()
    for line in lines():
        answer = client.get(line.url)
        assert answer.status_code == 200
        if "cancel" in answer.context and "/articles/" not in line.url:
            assert answer.context["cancel"] == "/", line.what
    sent = {"tag": "H02", "species": "Sheep", "owner": "mine", "date_in": "2025-01-02", "request_key": "k1"}
    assert client.post("/skins/new/?next=/", sent)["location"] == "/"
    again = client.post("/skins/new/?next=/", sent | {"tag": "H03", "another": "on", "request_key": "k2"})
    assert again["location"] == "/skins/new/?like=H03&next=%2F"
    away = client.post("/skins/new/?next=//example.com/", sent | {"tag": "H04", "request_key": "k3"})
    assert away["location"] == "/skins/H04/"


def test_who_still_has_the_first_name_is_offered_their_own(client: Client) -> None:
    assert "Choose your own sign-in name." in text(client.get("/"))
    people.rename(person=people.owner(), name="kaisa")
    assert "Choose your own sign-in name." not in text(client.get("/"))
