"""Costs of a sale, a fair or the year: entered, withheld within what is owed, taken back by a linked entry."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from costing.models import Expense, Fair
from costing.sell.expenses import services as expenses
from costing.sell.payments import selectors as money
from inventory.errors import Refused
from tests.costing.sell.payments.test_services import day, owed, receive
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal


def test_costs_stand_with_a_sale_a_fair_or_the_year() -> None:
    bill = owed()
    fair = Fair.objects.create(name="Spring fair", on=DAY)
    made = [
        expenses.spend(kind="postage", amount=D(5), on=DAY, sale=bill, words="parcel"),
        expenses.spend(kind="pitch", amount=D(35), on=DAY, fair=fair),
        expenses.spend(kind="overhead", amount=D(96), on=DAY, words="insurance"),
    ]
    assert [(row.sale, row.fair) for row in made] == [(bill, None), (None, fair), (None, None)]
    assert money.balance(bill, DAY).left == 100, "what I paid for is not what the buyer paid"


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"kind": "bribe"}, "choose one of fee, postage, pitch, fuel, overhead, other"),
        ({"amount": D(0)}, "more than nothing"),
        ({"amount": D("0.001")}, "decimals"),
        ({"withheld": True}, "name the sale"),
        ({"words": "a\x07"}, "control character"),
        ({"kind": "vehicle", "amount": None}, "How far was it"),
        ({"kind": "vehicle", "amount": None, "distance": D(-5), "unit": "mi", "rate": D("0.7")}, "more than nothing"),
        ({"kind": "vehicle", "amount": None, "distance": D(5), "unit": "mi"}, "has no rate yet"),
        ({"kind": "vehicle", "amount": D(9), "distance": D(5), "unit": "mi", "rate": D(2)}, r"5 mi at 2 are 10\.00"),
        ({"kind": "rent", "distance": D(5)}, "not entered by distance"),
        ({"kind": "equipment"}, "How many years"),
        ({"kind": "equipment", "life_years": 51}, "1 to 50"),
        ({"kind": "rent", "life_years": 5}, "counts in the year"),
        ({"kind": "contractor"}, "The person is missing"),
        ({"kind": "rent", "amount": None}, "amount is missing"),
        ({"how": "gold"}, "not a known way to pay"),
        ({"how": "cash", "due_on": DAY}, "Leave one of the two empty"),
        ({"due_on": date(2020, 1, 1)}, "before its own day"),
    ],
)
def test_a_cost_that_cannot_be_is_refused(given: dict[str, Any], match: str) -> None:
    with pytest.raises(Refused, match=match):
        expenses.spend(**{"kind": "fee", "amount": D(1), "on": DAY, **given})
    assert not Expense.objects.exists()


def test_no_more_is_withheld_than_is_owed() -> None:
    bill = owed()
    expenses.spend(kind="fee", amount=D(35), on=DAY, sale=bill, withheld=True)
    with pytest.raises(Refused, match=r"65\.00 is the balance due"):
        expenses.spend(kind="fee", amount=D(66), on=DAY, sale=bill, withheld=True)
    with pytest.raises(Refused, match=r"65\.00 is the balance due"):
        receive(66, sale=bill)


def test_a_cost_taken_back_leaves_no_trace() -> None:
    bill = owed()
    fee = expenses.spend(kind="fee", amount=D(35), on=DAY, sale=bill, withheld=True)
    back = expenses.reverse(expense=fee, on=day(1))
    assert (back.amount, back.withheld, back.sale, back.reverses) == (-35, True, bill, fee)
    assert money.balance(bill, day(1)).left == 100
    for row in (fee, back):
        with pytest.raises(Refused, match="reversed already"):
            expenses.reverse(expense=row)
