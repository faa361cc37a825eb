"""Addresses and forms that nobody should send: the answer is words, never a fault, and nothing is written."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client, RequestFactory
from django.urls import reverse

from inventory.errors import Refused
from inventory.models import Posting, Workshop
from workshop.middleware import Refusals

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut"), pytest.mark.thorough]

ODD = ["", " ", "x", "-1", "0", "1e999", "NaN", "2025-13", "2025-00", "0000-01", "99999-01", "2025-02-30", "٢٠٢٥-٠١",
       "9999-12-31", "0001-01-01", "' OR 1=1 --", "<script>", "💥" * 40, "x" * 5000]  # fmt: skip


@pytest.mark.parametrize("value", ODD, ids=lambda value: repr(value[:12]))
@pytest.mark.parametrize(("path", "field"), [("/books/", "month"), ("/books/worth/", "on")])
def test_an_odd_day_or_month_is_answered_in_words(client: Client, path: str, field: str, value: str) -> None:
    answer = client.get(path, {field: value}, follow=True)
    assert answer.status_code == 200
    page = answer.content.decode()
    assert "<script>alert" not in page
    assert "<h1>" in page


@pytest.mark.parametrize(
    "path",
    [
        "/books/2025-13.csv",
        "/books/2025-13.pdf",
        "/books/0000-01.pdf",
        "/books/year/0/",
        "/books/year/10000/",
        "/books/year/99999999999999999999/",
        "/books/year/99999999999999999999.csv",
        "/articles/H99/care.pdf",
        "/articles/H03%00/care.pdf",
        "/articles/%F0%9F%92%A5/ticket.pdf",
    ],
)
def test_an_address_of_nothing_leads_back_with_the_reason(client: Client, path: str) -> None:
    answer = client.get(path, follow=True)
    page = answer.content.decode()
    assert "Not done" in page or answer.status_code != 200


@pytest.mark.parametrize("path", ["/books/9999-12.pdf", "/books/0001-01.csv", "/books/year/1/", "/books/year/9999/"])
def test_the_ends_of_the_calendar_are_still_pages(client: Client, path: str) -> None:
    assert client.get(path).status_code == 200


@pytest.mark.parametrize(
    "path", ["/people/", "/setup/people/x/role/", "/books/2025-1.pdf", "/books/2025-01.exe", "/%2e%2e/"]
)
def test_what_is_not_there_is_a_page_of_its_own(client: Client, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "To Today" in answer.content.decode()


@pytest.mark.parametrize("method", ["post", "put", "delete", "patch"])
@pytest.mark.parametrize("path", ["/", "/books/", "/books/worth/", "/setup/", "/books/2025-01.csv"])
def test_pages_that_only_show_take_no_entry(client: Client, path: str, method: str) -> None:
    assert getattr(client, method)(path).status_code == 405


@pytest.mark.parametrize("name", ["setup_workshop", "close_books", "person_new", "own_password"])
@pytest.mark.parametrize("value", ["", "=cmd()", "x" * 5000, "1e999", "💥"], ids=lambda value: repr(value[:8]))
def test_an_odd_form_comes_back_and_writes_nothing(client: Client, name: str, value: str) -> None:
    before = (Workshop.objects.values().get(), User.objects.count(), Posting.objects.count())
    page = client.get(reverse(name))
    fields = [field for field in page.context["form"].fields if field != "request_key"]
    answer = client.post(reverse(name), dict.fromkeys(fields, value) | {"request_key": "k1"})
    if name == "own_password" and len(value) == 5000:
        return  # a long password is a good one
    assert answer.status_code == 200 or (name == "close_books" and value == "")
    after = (Workshop.objects.values().get(), User.objects.count(), Posting.objects.count())
    assert after == before


@pytest.mark.parametrize("name", ["setup_workshop", "close_books", "person_new"])
def test_a_form_without_its_key_is_not_taken(client: Client, name: str) -> None:
    answer = client.post(reverse(name), {"name": "Aino", "role": "helper", "to": "2025-01-01"})
    assert answer.status_code == 200
    assert User.objects.filter(username="Aino").count() == 0
    assert Workshop.objects.get().closed_to is None


def test_a_refusal_without_a_page_to_go_back_to_leads_to_today(client: Client) -> None:
    answer = client.get("/books/", {"month": "soon"})
    assert answer["Location"] == "http://testserver/"


def test_a_refusal_never_leads_off_the_workshop(client: Client) -> None:
    answer = client.get("/books/", {"month": "soon"}, headers={"referer": "https://example.com/books/"})
    assert answer["Location"] == "http://testserver/"


def test_a_page_that_refuses_itself_ends_in_words_and_not_in_a_circle(client: Client) -> None:
    here = "http://testserver/books/?month=soon"
    answer = client.get("/books/", {"month": "soon"}, headers={"referer": here})
    assert answer.status_code == 400
    assert "is not a month. Write year and month as 2025-01." in answer.content.decode().replace("&#x27;", "'")


def test_today_refusing_itself_ends_in_words(rf: RequestFactory, owner: User) -> None:
    request = rf.get("/")
    request.user = owner
    answer = Refusals(lambda _: None).process_exception(request, Refused("The shelf fell down."))  # type: ignore[arg-type,return-value]
    assert answer is not None
    assert answer.status_code == 400
    assert "The shelf fell down." in answer.content.decode()


def test_a_fault_of_another_kind_is_not_swallowed(rf: RequestFactory) -> None:
    assert Refusals(lambda _: None).process_exception(rf.get("/"), ValueError()) is None  # type: ignore[arg-type,return-value]
