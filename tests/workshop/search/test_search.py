"""The one search box: an exact name opens at once, everything else stands grouped, within ten hits and two queries a kind."""

from __future__ import annotations

import html
import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from costing.models import Payment, Sale
from inventory.base.finding import HITS
from inventory.models import Delivery
from tests import factories
from tests.inventory.pages import signed_in
from workshop.search import selectors as search

pytestmark = pytest.mark.usefixtures("demo")


def found(client: Client, words: str) -> dict[str, list[str]]:
    """By kind the names that the page shows."""
    answer = client.get(reverse("search"), {"q": words})
    assert answer.status_code == 200, answer.get("Location")
    sections = re.findall(r'<section class="sheet".*?</section>', answer.content.decode(), flags=re.DOTALL)
    return {
        html.unescape(re.findall(r"<h2>(.*?)</h2>", each)[0]): re.findall(r"<b>(.*?)</b>", each) for each in sections
    }


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("words", "address"),
    [
        ("H13", "/skins/H13/"),
        ("h13", "/skins/H13/"),
        (" H13 ", "/skins/H13/"),
        ("B5", "/batches/B5/"),
        ("alumk", "/shelf/ALUMK/"),
        ("J-01", "/jobs/J-01/"),
        ("INV-002", "/sales/INV-002/"),
        ("R-001", "/payments/?words=R-001"),
        ("R1", "/recipes/R1/"),
        ("F1", "/frames/F1/"),
    ],
)
def test_what_is_called_just_so_opens_at_once(client: Client, words: str, address: str) -> None:
    answer = client.get(reverse("search"), {"q": words})
    assert (answer.status_code, answer["Location"]) == (302, address)


def test_every_paper_is_found_by_its_number(client: Client) -> None:
    papers = list(Sale.objects.values_list("number", flat=True))
    assert len(set(Sale.objects.values_list("kind", flat=True))) > 1
    for number in papers:
        assert client.get(reverse("search"), {"q": number})["Location"] == reverse("sale", args=[number])
    payment = Payment.objects.order_by("pk").first()
    assert payment is not None
    assert payment.number in client.get(reverse("search"), {"q": payment.number}, follow=True).content.decode()


def test_a_delivery_is_found_by_the_number_on_the_suppliers_paper(client: Client) -> None:
    delivery = Delivery.objects.exclude(ref="").order_by("pk")[0]
    assert client.get(reverse("search"), {"q": delivery.ref})["Location"] == reverse("delivery", args=[delivery.pk])


def test_a_piece_stands_before_the_skin_of_the_same_tag(client: Client) -> None:
    assert client.get(reverse("search"), {"q": "H03"})["Location"] == "/articles/H03/"


def test_two_kinds_called_alike_are_both_shown(client: Client) -> None:
    factories.material("B5")
    assert {"Batches": ["B5"], "Materials": ["B5"]}.items() <= found(client, "b5").items()


def test_a_tag_with_a_slash_is_scanned_like_any_other(client: Client) -> None:
    factories.skin("Z7/2")
    answer = client.get(reverse("search"), {"q": "Z7/2"})
    assert answer["Location"] == reverse("skin", args=["Z7/2"])


def test_words_stand_in_any_order_and_each_must_be_found(client: Client) -> None:
    assert found(client, "alum potash")["Materials"] == ["ALUMK"]
    assert found(client, "potash zebra") == {}


def test_customers_and_suppliers_are_found_by_name(client: Client) -> None:
    factories.customer("Aamu Lehto")
    assert found(client, "lehto") == {"Customers": ["Aamu Lehto"]}
    assert "Utuharju Chemicals" in found(client, "utuharju")["Suppliers"]


def test_ten_hits_a_kind_and_the_exact_one_first() -> None:
    for number in range(15):
        factories.skin(f"Q{number:02d}1")
    factories.skin("Q")
    groups = dict(search.found("q"))
    assert len(groups["Skins"]) == HITS
    assert groups["Skins"][0].name == "Q"


@pytest.mark.thorough
def test_at_most_two_queries_a_kind_however_much_is_found(client: Client) -> None:
    for number in range(15):
        factories.skin(f"Q{number}")
        factories.material(f"Q{number}")
        factories.customer(f"Quist {number}")
    with CaptureQueriesContext(connection) as asked:
        groups = search.found("a")
    assert len(groups) > 6
    assert len(asked) <= 2 * len(search.KINDS)
    with CaptureQueriesContext(connection) as more:
        search.found("q")
    assert len(more) <= len(asked)


def test_no_words_ask_nothing_and_too_many_are_cut(client: Client) -> None:
    with CaptureQueriesContext(connection) as asked:
        assert search.found("") == []
    assert len(asked) == 0
    assert client.get(reverse("search")).status_code == 200
    assert client.get(reverse("search"), {"q": "a " * 5000}).status_code == 200
    assert client.get(reverse("search"), {"q": "a\x00b"}).status_code == 400


@pytest.mark.thorough
@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_whatever_a_role_finds_it_may_open(role: str) -> None:
    theirs = signed_in(factories.person(role))
    for words in ("a", "0", "Utuharju"):
        page = theirs.get(reverse("search"), {"q": words}).content.decode().split("<main")[1]
        links = [html.unescape(link) for link in re.findall(r'<li>\s*<a href="([^"]+)"', page)]
        assert links
        assert {theirs.get(link).status_code for link in links} == {200}


def test_a_hit_is_written_and_never_read_as_markup(client: Client) -> None:
    page = client.get(reverse("search"), {"q": "<b>x</b>"}).content.decode()
    assert "<b>x</b>" not in page
    assert "&lt;b&gt;x" in page
