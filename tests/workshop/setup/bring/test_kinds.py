"""Skins, sales and customers from a maker's own lists."""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.models import Customer, Payment, Sale
from costing.report.audit import selectors as audit
from inventory.base.accounting import services as workshop
from inventory.models import Skin
from tests import factories as make
from tests.workshop.setup.bring.sheets import as_csv
from workshop.setup.bring.bringing import bring

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _dollars() -> None:
    workshop.set_up(name="Hides", currency="USD")


def test_skins_come_with_weight_in_pounds_and_a_tag_where_they_had_none() -> None:
    rows = as_csv(
        ("Skin no", "Animal", "Got", "Paid", "Weight (lbs)", "From", "Notes"),
        ("H7", "Deer", "Nov 3, 2024", "$12.00", "9.5", "Bob", "hole at the neck"),
        ("", "Sheep", "11/20/2024", "", "14", "Farm", ""),
    )
    found = bring(rows, "hides.csv")
    assert (found.into, found.written, found.doubts) == ("skins", 2, [])
    deer, sheep = Skin.objects.get(tag="H7"), Skin.objects.get(species="Sheep")
    assert (deer.price, deer.green_weight, deer.defects) == (12, Decimal("4309.128"), "hole at the neck")
    assert (sheep.tag, sheep.price) == ("24-001", 0)
    assert bring(rows, "hides.csv").before == 2


def test_sales_are_paid_as_their_column_says_and_owed_where_it_says_so() -> None:
    rows = as_csv(
        ("Date", "Item", "Sold for", "Buyer", "How paid", "Where", "Invoice no"),
        ("2024-05-04", "Sheepskin rug", "$180.00", "Ann Lee", "Check", "Farm fair", "117"),
        ("2024-05-05", "Pouch", "$1,020.00", "Bo", "owed", "", ""),
    )
    found = bring(rows, "sales.csv")
    assert (found.into, found.written, found.doubts) == ("sales", 2, [])
    first, second = Sale.objects.order_by("on")
    assert (first.gross, first.customer and first.customer.name, first.note) == (180, "Ann Lee", "117, at Farm fair")
    assert [(row.how, row.amount) for row in Payment.objects.all()] == [("bank", 180)]
    assert not second.payments.exists()
    assert audit.findings() == []


def test_a_piece_that_is_here_leaves_by_its_number() -> None:
    piece = make.article("A1")
    rows = as_csv(("Date", "Piece no", "What", "Price"), ("2025-06-04", "a1", "Rug", "80"))
    assert bring(rows, "sales.csv", into="sales", answers={"paid": "cash"}).done
    piece.refresh_from_db()
    assert piece.gone_why == "sold"


def test_customers_come_once_with_address_and_telephone() -> None:
    rows = as_csv(
        ("Name", "Street", "City", "Zip", "Email", "Phone"),
        ("Ann Lee", "1 Mill Lane", "Ames", "50010", "ann@example.org", "+1 515 555 0100"),
        ("ann lee", "", "", "", "", ""),
    )
    found = bring(rows, "people.csv")
    assert (found.into, found.written, found.before) == ("customers", 1, 1)
    ann = Customer.objects.get()
    assert (ann.postal_address, ann.note) == ("1 Mill Lane, Ames, 50010", "Telephone +1 515 555 0100")
