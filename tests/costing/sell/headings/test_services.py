"""Kinds of cost and headings: shipped, the maker's own over them, a tax form taken in place of another."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import CostHeading, CostKind, Expense, Fair
from costing.sell.expenses import services as expenses
from costing.sell.fairs import selectors as fairs
from costing.sell.headings import selectors as read, services as headings
from inventory.errors import Refused
from tests.factories import DAY
from tests.inventory.pages import text

pytestmark = pytest.mark.django_db
US = "US Schedule C (Form 1040)"


def test_the_plain_list_holds_until_something_is_changed() -> None:
    assert not CostHeading.objects.exists()
    kinds = read.kinds()
    assert [kinds[code].name for code in ("fee", "overhead", "insurance")] == ["Selling fee", "Overhead", "Insurance"]
    assert all(row.heading is not None for row in kinds.values()), "every kind has a heading in the plain list"


def test_a_form_takes_the_place_of_another_and_own_kinds_wait_for_a_heading() -> None:
    headings.begin()
    rent = CostHeading.objects.get(words="Rent and pitches")
    headings.save_kind(code="feed", name="Feed", heading=rent)
    headings.choose_form(form=US)
    kinds = read.kinds()
    assert str(kinds["vehicle"].heading) == "9 Car and truck expenses"
    assert kinds["feed"].heading is None
    assert [row.stock for row in read.headings()].count(True) == 1


def test_a_heading_that_is_deleted_leaves_its_kinds_without_one() -> None:
    headings.choose_form(form=US)
    headings.drop_heading(heading=CostHeading.objects.get(line="15"))
    assert read.kinds()["insurance"].heading is None


def test_the_stock_used_comes_under_one_heading() -> None:
    headings.choose_form(form=US)
    made = headings.save_heading(words="Materials", line="38", stock=True)
    assert [row for row in read.headings() if row.stock] == [made]


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"code": "insurance", "name": "Cover"}, "keeps its name"),
        ({"code": "cover", "name": "insurance"}, "insurance"),
        ({"code": "van", "name": "Van", "rate": Decimal(1)}, "entered by distance"),
        ({"code": "van", "name": "Van", "asks": "distance", "rate": Decimal(1)}, "kilometre or a mile"),
        ({"code": "van", "name": "Van", "asks": "distance", "unit": "km", "rate": Decimal(-1)}, "more than nothing"),
        ({"code": "a b", "name": "Van"}, "no spaces"),
        ({"code": "van", "name": "a\x07"}, "control character"),
        ({"code": "van", "name": "Van", "place": "moon"}, "not a known place"),
    ],
)
def test_a_kind_that_cannot_be_is_refused(given: dict[str, Any], match: str) -> None:
    with pytest.raises(Refused, match=match):
        headings.save_kind(**given)
    assert not CostKind.objects.exists()


def test_an_own_kind_is_spent_and_named_on_the_list(client: Client) -> None:
    headings.save_kind(code="feed", name="Feed", place="selling")
    expenses.spend(kind="feed", amount=Decimal(3), on=DAY)
    assert Expense.objects.get().get_kind_display() == "Feed"
    expenses.spend(kind="contractor", amount=Decimal(3), on=DAY, person="Ann Lee", words="splitting", how="bank")
    page = text(client.get(reverse("expenses")))
    assert "Feed" in page
    assert ">Ann Lee, bank<" in page
    assert page.count("Contractor") > page.count("contractor"), "a kind is named, not its code"


def test_an_own_kind_counts_at_the_fair_it_was_for() -> None:
    headings.save_kind(code="tent", name="Tent", place="selling")
    fair = Fair.objects.create(name="Spring fair", on=DAY)
    expenses.spend(kind="tent", amount=Decimal(12), on=DAY, fair=fair)
    assert fairs.days(Fair.objects.all())[fair].costs == 12


def test_pages_of_kinds_and_headings_work_from_nothing(client: Client) -> None:
    page = text(client.get(reverse("cost_kinds")))
    assert "Check with your accountant" in page
    form = {"heading": "Other costs", "rate": "0.70", "unit": "mi", "request_key": "k1"}
    assert client.post(reverse("cost_kind", args=["vehicle"]), form)["location"] == reverse("cost_kinds")
    assert (read.kinds()["vehicle"].rate, str(read.kinds()["vehicle"].heading)) == (Decimal("0.70"), "Other costs")
    client.post(reverse("cost_heading", args=[1]), {"words": "Goods", "line": "1", "request_key": "k2"})
    assert str(read.headings()[0]) == "1 Goods"
    client.post(reverse("tax_form"), {"form": US, "request_key": "k3"})
    assert str(read.headings()[0]) == "4 Cost of goods sold (from line 42)"
    client.post(reverse("cost_heading_drop", args=[2]), {"request_key": "k4"})
    assert "Advertising" not in [row.words for row in read.headings()]
    client.post(
        reverse("cost_kind_new"),
        {"name": "Feed", "code": "feed", "place": "year", "heading": "Supplies", "request_key": "k5"},
    )
    assert str(read.kinds()["feed"].heading) == "22 Supplies"


def test_a_kind_chosen_on_the_form_is_asked_for_what_it_needs(client: Client) -> None:
    form = {"kind": "vehicle", "on": "2025-03-01", "amount": "9", "request_key": "k1"}
    page = client.post(reverse("expense_new"), form)
    assert {"distance", "unit", "rate"} <= page.context["form"].fields.keys()
    assert page.context["form"].errors.keys() == {"distance"}
    client.post(reverse("expense_new"), {**form, "distance": "212", "unit": "mi", "rate": "0.70"})
    assert (Expense.objects.get().amount, Expense.objects.get().pays) == (Decimal("148.40"), False)
