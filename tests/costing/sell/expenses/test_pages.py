"""Pages of costs: entered for the year, a sale or a fair, refused beside the box, taken back."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Expense
from costing.sell.fairs import services as fairs
from inventory.base.accounting import services as workshop
from tests.costing.sell.payments.test_pages import TODAY, invoice
from tests.inventory.pages import text

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=TODAY)
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")


def test_a_cost_of_the_year_is_entered_once_though_sent_twice_and_taken_back(client: Client) -> None:
    form = {"kind": "overhead", "amount": "96", "on": "2025-03-31", "words": "insurance", "request_key": "k1"}
    for _ in range(2):
        assert client.post(reverse("expense_new"), form)["location"] == reverse("expenses")
    cost = Expense.objects.get()
    assert (cost.kind, cost.amount, cost.words, cost.sale, cost.fair) == ("overhead", D(96), "insurance", None, None)
    client.post(reverse("expense_reverse", args=[cost.pk]), {"on": "2025-03-31", "request_key": "b1"})
    page = client.get(reverse("expenses"))
    assert page.context["table"].total == 0
    assert "reversed" in text(page)


def test_a_cost_stands_with_its_sale_or_fair(client: Client) -> None:
    paper, fair = invoice(), fairs.plan(name="Spring fair", on=date(2025, 4, 12))
    form = {"amount": "49", "on": "2025-03-10", "request_key": "k1"}
    client.post(reverse("expense_new") + f"?sale={paper.number}", form | {"kind": "fee", "withheld": "on"})
    assert client.get(reverse("sale", args=[paper.number])).context["stands"].balance.left == D(91)
    answer = client.post(
        reverse("expense_new") + f"?fair={fair.pk}", form | {"kind": "pitch", "amount": "35", "request_key": "k2"}
    )
    assert answer["location"] == reverse("fair", args=[fair.pk])
    assert Expense.objects.get(kind="pitch").fair == fair


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"kind": "pitch"}, "kind", "valid choice"),
        ({"amount": "0"}, "amount", "more than nothing"),
        ({"amount": "1.0050"}, "amount", "decimals"),
        ({"words": "a\x07"}, "words", "control character"),
        ({"on": "1900-01-01"}, "on", "before"),
    ],
)
def test_a_wrong_cost_is_refused_beside_its_box(client: Client, wrong: dict[str, str], field: str, said: str) -> None:
    form = {"kind": "overhead", "amount": "96", "on": "2025-03-31", "request_key": "k1"} | wrong
    assert said in client.post(reverse("expense_new"), form).context["form"].errors[field][0]
    assert not Expense.objects.exists()
