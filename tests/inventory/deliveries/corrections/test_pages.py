"""The page that corrects a delivery: what it tells before, what it writes once, what it says after."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as workshop
from inventory.models import Delivery, Kind, Material, Posting
from tests import factories
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def used_since() -> Delivery:
    """2 kg of alum entered twice, 3 kg used."""
    of = factories.material("ALUMK")
    for _ in range(2):
        came = factories.delivery(factories.line(of, 1, 2, "10.00"), carriage=1, ref="")
    factories.put(factories.batch(), of, 3)
    workshop.pin_today(on=factories.DAY)
    return came


def alum() -> Material:
    return Material.objects.get(code="ALUMK")


def sent(client: Client, address: str, **more: Any) -> dict[str, Any]:
    """What a browser sends of the page as it was opened."""
    form = client.get(address).context["form"]
    return {"on": "2025-03-04", "reason": "entered twice", "seen": form["seen"].value(), "request_key": "k", **more}


def test_what_goes_what_cannot_and_what_stays_is_told_before(client: Client, used_since: Delivery) -> None:
    page = text(client.get(reverse("delivery_correct", args=[used_since.pk])))
    assert "<b>1 kg</b> out, 5.50 €, of 2 kg at 11.00 €." in page
    assert "<b>1 kg</b> cannot be taken out: it was used." in page
    assert "5.50 € of 11.00 € leave the shelf." in page
    assert "<b>5.50 €</b> stay in what was made" in page


def test_a_double_tap_corrects_once_and_every_page_says_so(client: Client, used_since: Delivery) -> None:
    address = reverse("delivery_correct", args=[used_since.pk])
    data = sent(client, address)
    for _ in range(2):
        assert client.post(address, data)["location"] == reverse("delivery", args=[used_since.pk])
    entry = Posting.objects.get(kind=Kind.CORRECTED)
    page = text(client.get(reverse("delivery", args=[used_since.pk])))
    assert "<b>Corrected</b> on" in page
    assert ": entered twice." in page
    assert address not in page
    assert "corrected" in text(client.get(reverse("deliveries")))
    assert reverse("delivery", args=[used_since.pk]) in text(client.get(reverse("posting", args=[entry.pk])))
    assert "Delivery corrected" in text(client.get(reverse("material", args=["ALUMK"])))
    assert alum().on_hand == 0


def test_figures_that_moved_since_they_were_shown_are_shown_again(client: Client, used_since: Delivery) -> None:
    address = reverse("delivery_correct", args=[used_since.pk])
    data = sent(client, address)
    factories.take(alum(), "0.5", kind=Kind.SPOILED)
    answer = client.post(address, data)
    assert "The figures below are new" in text(answer)
    assert "<b>0.5 kg</b> out" in text(answer)
    assert not Posting.objects.filter(kind=Kind.CORRECTED).exists()
    again = {**data, "seen": answer.context["form"]["seen"].value()}
    assert client.post(address, again).status_code == 302
    assert alum().on_hand == Decimal(0)


def test_another_day_shows_its_own_figures_first(client: Client, used_since: Delivery) -> None:
    factories.receive(alum(), 5, "30.00", on=factories.DAY.replace(day=9))
    address = reverse("delivery_correct", args=[used_since.pk])
    answer = client.post(address, sent(client, address, on="2025-03-09"))
    assert "<b>2 kg</b> out" in text(answer)
    assert answer.context["day"].isoformat() == "2025-03-09"


def test_only_who_records_goods_sees_it(used_since: Delivery) -> None:
    helper = signed_in(factories.person("helper"))
    assert helper.get(reverse("delivery_correct", args=[used_since.pk])).status_code == 200


@pytest.mark.thorough
def test_it_takes_as_many_queries_for_thirty_lines_as_for_one(client: Client) -> None:
    small = factories.delivery(factories.line(factories.material("A")))
    large = factories.delivery(*[factories.line(factories.material(f"M{n}")) for n in range(30)])
    one, many = (queries(client, reverse("delivery_correct", args=[each.pk])) for each in (small, large))
    assert one == many
