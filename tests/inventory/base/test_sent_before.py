"""A page that was sent, gone back to, changed and sent again: nothing is posted twice, and nothing that was typed is lost."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse, QueryDict
from django.test import Client
from django.urls import reverse

from costing.models import Expense, Payment
from inventory.base import services as requests
from inventory.models import Place
from inventory.web.forms import EntryForm, MomentField, sent_words as said
from tests.inventory.pages import text

DAY = "2025-03-04"


def spend(client: Client, amount: str = "12.50", words: str = "stamps", key: str = "k", **more: Any) -> HttpResponse:
    sent = {"kind": "overhead", "amount": amount, "on": DAY, "words": words, "request_key": key}
    return client.post(reverse("expense_new"), sent, **more)


def test_the_same_page_sent_twice_posts_once(client: Client) -> None:
    assert [spend(client).status_code for _ in range(2)] == [302, 302]
    assert Expense.objects.count() == 1


def test_a_page_gone_back_to_and_changed_is_not_taken_for_what_it_wrote(client: Client) -> None:
    spend(client)
    answer = spend(client, amount="99")
    assert answer.status_code == 200
    assert "what stood in it then is written. What stands in it now is something else" in text(answer)
    assert "send it once more to write it as a new entry" in text(answer)
    assert [row.amount for row in Expense.objects.all()] == [Decimal("12.50")]


def test_what_stands_there_is_kept_and_written_when_it_is_sent_once_more(client: Client) -> None:
    spend(client)
    form = spend(client, amount="99", words="ribbon").context["form"]
    assert (form["amount"].value(), form["words"].value()) == ("99", "ribbon")
    fresh = form["request_key"].value()
    assert fresh != "k"
    for _ in range(2):
        assert spend(client, amount="99", words="ribbon", key=fresh).status_code == 302
    assert [row.words for row in Expense.objects.order_by("pk")] == ["stamps", "ribbon"]


def test_a_key_that_wrote_something_else_is_renewed_too(client: Client) -> None:
    client.post(reverse("place_new"), {"name": "Tub 1", "kind": "tub", "request_key": "k"})
    place = client.post(reverse("place_new"), {"name": "Tub 2", "kind": "tub", "request_key": "k"})
    assert "what stood in it then is written (Tub 1)." in text(place)
    answer = spend(client)
    assert "sent before for something else" in text(answer)
    assert spend(client, key=answer.context["form"]["request_key"].value()).status_code == 302
    assert (Place.objects.count(), Expense.objects.count(), Payment.objects.count()) == (1, 1, 0)


def test_a_page_that_keeps_its_entry_is_told_so_in_few_words(client: Client) -> None:
    spend(client)
    answer = spend(client, amount="99", HTTP_X_KEPT="1")
    assert answer.status_code == 422
    assert "send it once more" in answer.json()["errors"][0]


class Tap(EntryForm):
    at = MomentField(required=False)


def told(words: str, **files: Any) -> str:
    return said(Tap(QueryDict(words), files))


def test_the_moment_the_key_and_the_token_are_not_what_a_form_says() -> None:
    first = told("skin=H01&skin=H02&request_key=a&at=2025-01-01T08:00Z&csrfmiddlewaretoken=x")
    assert first == told("csrfmiddlewaretoken=y&at=&request_key=b&skin=H01&skin=H02")
    assert first != told("skin=H01&request_key=a")
    assert first != told("skin=H02&skin=H01&request_key=a")


def test_another_photo_is_something_else() -> None:
    one, other = SimpleUploadedFile("a.jpg", b"x"), SimpleUploadedFile("b.jpg", b"x")
    assert told("", photo=one) == told("", photo=SimpleUploadedFile("a.jpg", b"x"))
    assert told("", photo=one) != told("", photo=other)


def test_where_it_is_not_known_what_was_sent_the_key_alone_counts(client: Client) -> None:
    with requests.saying("one"):
        assert requests.find_existing("k", Place, "create") is None
    place = Place.objects.create(name="Tub", kind="tub")
    requests.remember("k", place)
    assert requests.find_existing("k", Place, "create") == place
