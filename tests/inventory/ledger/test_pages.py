"""Pages of one entry: what it moved, and taking it back."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.batches.issues import services as batches
from inventory.base.accounting import services as workshop
from inventory.ledger import services as ledger
from inventory.models import Kind, Material, Posting
from tests import factories
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db


def test_pages_open_for_the_owner(client: Client) -> None:
    entry = factories.take(factories.material(on_hand=1, value="5.00"), "0.5", kind=Kind.SPOILED)
    for name in ("posting", "posting_reverse"):
        assert client.get(reverse(name, args=[entry.pk])).status_code == 200
        assert client.get(reverse(name, args=[entry.pk + 99])).status_code == 404


def test_an_entry_shows_what_moved_and_what_it_was_worth(client: Client) -> None:
    entry = factories.take(factories.material("ALUMK", on_hand=1, value="5.00"), "0.5", kind=Kind.SPOILED)
    page = text(client.get(reverse("posting", args=[entry.pk])))
    assert "<h1>Spoiled</h1>" in page
    assert "−0.5 kg" in page
    assert "−2.50 €" in page
    assert reverse("posting_reverse", args=[entry.pk]) in page


def test_taking_back_writes_one_linked_entry_however_often_it_is_sent(client: Client) -> None:
    entry = factories.take(factories.material("ALUMK", on_hand=1, value="5.00"), "0.5", kind=Kind.SPOILED)
    address = reverse("posting_reverse", args=[entry.pk])
    assert "<b>0.5 kg</b> in, 2.50 €" in text(client.get(address))
    for _ in range(2):
        answer = client.post(address, {"reason": "was not spoiled", "request_key": "k"}, follow=True)
    back = Posting.objects.get(reverses=entry)
    assert back.reason == "was not spoiled"
    assert "Reversed: spoiled" in text(answer)
    assert reverse("posting", args=[entry.pk]) in text(answer)
    assert Material.objects.get().on_hand == Decimal(1000)
    page = text(client.get(reverse("posting", args=[entry.pk])))
    assert reverse("posting", args=[back.pk]) in page
    assert address not in page


def test_taking_back_twice_is_refused(client: Client) -> None:
    entry = factories.take(factories.material(on_hand=1, value="5.00"), "0.5", kind=Kind.SPOILED)
    ledger.reverse(posting=entry, reason="wrong")
    answer = client.post(reverse("posting_reverse", args=[entry.pk]), {"reason": "again", "request_key": "k"})
    assert "reversed already" in answer.context["form"].non_field_errors()[0]
    assert Posting.objects.filter(reverses__isnull=False).count() == 1


def test_no_reason_is_refused_beside_its_box(client: Client) -> None:
    entry = factories.take(factories.material(on_hand=1, value="5.00"), "0.5", kind=Kind.SPOILED)
    answer = client.post(reverse("posting_reverse", args=[entry.pk]), {"reason": " ", "request_key": "k"})
    assert "reason" in answer.context["form"].errors
    assert not Posting.objects.filter(reverses__isnull=False).exists()


def test_goods_that_were_used_since_are_not_taken_back(client: Client) -> None:
    alum = factories.material()
    came = factories.delivery(factories.line(alum))
    factories.take(alum, "0.5")
    answer = client.post(
        reverse("posting_reverse", args=[came.posting_id]), {"reason": "wrong sack", "request_key": "k"}
    )
    assert "was moved after this entry" in answer.context["form"].non_field_errors()[0]


def test_an_entry_of_a_closed_day_is_taken_back_on_another(client: Client) -> None:
    entry = factories.take(factories.material(on_hand=1, value="5.00"), "0.5", kind=Kind.SPOILED)
    workshop.close_books(to=factories.DAY)
    address = reverse("posting_reverse", args=[entry.pk])
    refused = client.post(address, {"reason": "wrong", "request_key": "k"})
    assert "closed to" in refused.context["form"].errors["on"][0]
    assert client.post(address, {"reason": "wrong", "on": "2025-03-05", "request_key": "k"}).status_code == 302
    assert Posting.objects.get(reverses=entry).on == date(2025, 3, 5)


def test_what_was_put_in_work_is_not_taken_back_here_or_its_cost_would_stay_on_the_skins(client: Client) -> None:
    entry = factories.take(factories.material(on_hand=1, value="5.00"), "0.5", kind=Kind.USE)
    page = text(client.get(reverse("posting", args=[entry.pk])))
    assert reverse("posting_reverse", args=[entry.pk]) not in page
    assert "page of its batch or skin" in page
    answer = client.post(reverse("posting_reverse", args=[entry.pk]), {"reason": "wrong", "request_key": "k"})
    assert "added to a batch or a skin. Reverse it there" in answer.context["form"].non_field_errors()[0]
    assert Posting.objects.filter(reverses__isnull=False).count() == 0


def test_what_was_put_in_work_leads_to_its_batch_and_to_the_way_back(client: Client) -> None:
    alum = factories.material(on_hand=1, value="5.00")
    batch = factories.batch("B7", litres=Decimal(10))
    use = batches.issue(batch=batch, on=factories.DAY, amounts=[batches.Amount(alum, Decimal(100), "g")])
    page = text(client.get(reverse("posting", args=[use.posting_id])))
    assert reverse("batch", args=["B7"]) in page
    assert reverse("use_reverse", args=[use.pk]) in page


@pytest.mark.thorough
def test_an_entry_takes_as_many_queries_for_thirty_lines_as_for_one(client: Client) -> None:
    alum = factories.material(on_hand=100, value="50.00")
    small = factories.take(alum, 1)
    large = ledger.issue(kind=Kind.USE, on=factories.DAY, draws=[ledger.Draw(alum, Decimal(1))] * 30)
    assert queries(client, reverse("posting", args=[small.pk])) == queries(client, reverse("posting", args=[large.pk]))
