"""What grows by itself stands on no page as a whole: of fairs and buyers the last are offered, the others are found by words or
bring themselves along; papers of a customer and lots of a material are turned in pages."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client

from costing.models import Customer, Fair, Sale
from costing.sell.fairs import services as fairs
from inventory.ledger import services as ledger
from inventory.models import Kind
from inventory.web.fields import RECENT
from tests import factories as make
from tests.factories import DAY
from tests.inventory.pages import text

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def _many() -> None:
    stall = make.place("Stall", "fair")
    for number in range(RECENT + 2):
        Customer.objects.create(name=f"Buyer {number:02d}")
        fairs.plan(name=f"Fair {number:02d}", on=DAY + timedelta(days=number), place=stall, stall_minutes=D(60))


def offered(client: Client, address: str, name: str) -> tuple[list[str], list[str]]:
    """The names in a list to choose from, and those that are chosen."""
    page = client.get(address).content.decode()
    box = re.search(rf'<select[^>]*name="{name}".*?</select>', page, re.DOTALL)
    assert box
    rows = re.findall(r"<option([^>]*)>\s*(.*?)\s*</option>", box[0], re.DOTALL)
    return [words for _, words in rows[1:]], [words for more, words in rows if "selected" in more]


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("address", ["/sales/?", "/sales/new/?other=1&"])
def test_the_last_are_offered_and_the_one_that_is_asked_for(client: Client, address: str) -> None:
    make.sale(None, customer=make.customer(), on=DAY)
    oldest, last = Fair.objects.earliest("on"), Fair.objects.latest("on")
    names, _ = offered(client, address, "fair")
    assert (len(names), names[0].startswith(last.name)) == (RECENT, True)
    names, chosen = offered(client, f"{address}fair={oldest.pk}", "fair")
    assert len(names) == RECENT + 1
    assert [name.startswith(oldest.name) for name in chosen] == [True]
    buyers, _ = offered(client, address, "customer")
    assert (len(buyers), buyers[0]) == (RECENT, "Ann Hill"), "who bought last"
    late = Customer.objects.get(name=f"Buyer {RECENT + 1}")
    assert offered(client, f"{address}customer={late.pk}", "customer")[1] == [late.name]


def test_a_fair_of_long_ago_is_found_by_its_name(client: Client) -> None:
    sale = make.sale(None, fair=Fair.objects.earliest("on"), on=DAY)
    make.sale(None, on=DAY)
    page = text(client.get("/sales/", {"words": "fair 00"}))
    assert f"/sales/{sale.number}/" in page
    assert page.count('class="tag"') == 1


def test_what_is_not_offered_may_be_sent(client: Client) -> None:
    make.sale(None)
    buyer = Customer.objects.get(name=f"Buyer {RECENT + 1}")
    sent = {
        "kind": "invoice", "customer": buyer.pk, "fair": Fair.objects.earliest("on").pk, "on": DAY.isoformat(),
        "other": "wax", "other_price": "5", "how": "cash", "boxes": "1", "request_key": "k",
    }  # fmt: skip
    assert client.post("/sales/new/?other=1", sent).status_code == 302
    sale = Sale.objects.latest("pk")
    assert (sale.customer, sale.fair, sale.settled_on) == (buyer, Fair.objects.earliest("on"), DAY)


def test_a_buyer_brings_themselves_along(client: Client) -> None:
    buyer = Customer.objects.get(name=f"Buyer {RECENT + 1}")
    assert f"/sales/new/?customer={buyer.pk}" in text(client.get(f"/customers/{buyer.pk}/"))
    assert f'name="customer" value="{buyer.pk}"' in text(client.get(f"/sales/new/?customer={buyer.pk}"))


@pytest.mark.thorough
def test_papers_of_a_customer_and_lots_of_a_material_are_turned_in_pages(client: Client) -> None:
    buyer = make.customer()
    sales = [make.sale(None, asked=10, customer=buyer, on=DAY + timedelta(days=number)) for number in range(RECENT + 1)]
    first, second = (text(client.get(f"/customers/{buyer.pk}/", {"papers": page})) for page in (1, 2))
    assert (sales[0].number in first, sales[0].number in second, sales[-1].number in second) == (False, True, False)
    assert "260.00" in first
    assert "260.00" in second
    salt = make.material("SALT")
    for number in range(RECENT + 1):
        arrival = ledger.Arrival(salt, D(1000), D(1))
        ledger.receive(kind=Kind.RECEIPT, on=DAY + timedelta(days=number), arrivals=[arrival])
    pages = [text(client.get("/shelf/SALT/", {"lots": page})) for page in (1, 2)]
    shelf = [page.split('aria-label="Open lots"')[1].split("</table>")[0] for page in pages]
    assert [lots.count("/postings/") for lots in shelf] == [RECENT, 1]
