"""Pages of places: the list, a new one, one described anew."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Place
from tests import factories
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", ["places", "place_new"])
def test_pages_open_for_the_owner(client: Client, name: str) -> None:
    assert client.get(reverse(name)).status_code == 200


def test_a_place_is_made_once_though_sent_twice(client: Client) -> None:
    for _ in range(2):
        answer = client.post(reverse("place_new"), {"name": "Tub 1", "kind": "tub", "request_key": "k"}, follow=True)
    assert "Tub 1 can be chosen now." in text(answer)
    assert Place.objects.get().kind == Place.Kind.TUB


def test_a_taken_name_is_refused_beside_its_box(client: Client) -> None:
    factories.place("Tub 1")
    answer = client.post(reverse("place_new"), {"name": "Tub 1", "kind": "tub", "request_key": "k"})
    assert "used already" in answer.context["form"].errors["name"][0]
    assert Place.objects.count() == 1


def test_the_list_counts_materials_and_leads_to_them(client: Client) -> None:
    shelf = factories.place("By the door")
    factories.material("SALT", place=shelf)
    factories.skin("H01", place=shelf)
    page = text(client.get(reverse("places")))
    assert f"{reverse('shelf')}?place={shelf.pk}" in page
    found = client.get(reverse("places"), {"words": "door"}).context["table"].data[0]
    assert (found.goods, found.hides) == (1, 1)


@pytest.mark.thorough
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    factories.place("P")
    one = queries(client, reverse("places"))
    for number in range(29):
        factories.material(f"M{number}", place=factories.place(f"P{number}"))
    assert queries(client, reverse("places")) == one


def test_a_tub_is_described_anew_on_its_page(client: Client) -> None:
    tub = factories.place("Tub 1", Place.Kind.TUB, litres=Decimal(20))
    address = reverse("place_edit", args=[tub.pk])
    assert address in text(client.get(reverse("places")))
    page = text(client.get(address))
    assert 'value="20"' in page
    form = {"name": "Tub 1", "kind": "tub", "litres": "45,5", "holds": "2", "request_key": "k"}
    answer = client.post(address, form, follow=True)
    assert "Tub 1 is changed." in text(answer)
    assert "45.5 L, 2 batches" in text(answer)


def test_what_a_page_of_a_place_refuses_stands_beside_its_box(client: Client) -> None:
    shelf = factories.place("By the door")
    form = {"name": "By the door", "kind": "shelf", "litres": "20", "holds": "", "request_key": "k"}
    answer = client.post(reverse("place_edit", args=[shelf.pk]), form)
    assert "asked of a tub only" in answer.context["form"].errors["litres"][0]
    shelf.refresh_from_db()
    assert shelf.litres is None


def test_frames_say_how_many_skins_they_take(client: Client) -> None:
    factories.place("Frames", Place.Kind.FRAME, holds=4)
    assert "4 skins" in text(client.get(reverse("places")))


def test_a_place_that_is_not_there_is_not_found(client: Client) -> None:
    assert client.get(reverse("place_edit", args=[999])).status_code == 404
