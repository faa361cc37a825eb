"""Skins, sales and customers from a maker's own lists."""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.models import Customer, Payment, Sale
from costing.report.audit import selectors as audit
from costing.sell.sales.numbering import services as numbering
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


BANK = (
    ("Booking date", "Payer", "Reference", "Amount"),
    ("2025-06-02", "ANN LEE", "Invoice inv 118, thanks", "60.00"),
    ("2025-06-03", "Rent Ltd", "June", "-250.00"),
    ("2025-06-04", "BO HILL", "", "40.00"),
    ("2025-06-05", "Somebody", "?", "12.34"),
)


def test_a_banks_rows_are_matched_and_each_is_confirmed() -> None:
    numbering.begin(at={"invoice": 118})
    make.sale(make.article("A1"), kind="invoice", customer=make.customer("Ann Lee"), asked=100)
    make.sale(make.article("A2"), kind="invoice", customer=make.customer("Bo Hill"), asked=40)
    found = bring(as_csv(*BANK), "bank.csv", into="payments")
    asked = {one.name: (one.preset, one.help) for one in found.questions if one.group == "Payments"}
    assert asked == {
        "pay:2": ("INV-118", "by its number"),
        "pay:4": ("INV-119", "by name and amount"),
        "pay:5": ("-", "nothing is owed that fits"),
    }
    assert [one.name for one in found.open] == ["how", "pay:2", "pay:4"]  # what is proposed is not yet confirmed
    given = {"how": "bank", "pay:2": "INV-118", "pay:4": "-"}
    done = bring(as_csv(*BANK), "bank.csv", into="payments", answers=given)
    assert (done.done, done.written, done.not_wanted) == (True, 1, 3)
    paid = Payment.objects.get()
    assert (paid.sale and paid.sale.number, paid.amount, paid.how, str(paid.on)) == (
        "INV-118",
        60,
        "bank",
        "2025-06-02",
    )
    again = bring(as_csv(*BANK), "bank.csv", into="payments", as_before=True)
    assert (again.done, again.written, again.before) == (False, 0, 1)
    assert [one.name for one in again.open] == ["pay:4"]  # only what came in is not asked about again
    assert audit.findings() == []


def test_more_than_is_owed_is_a_doubtful_row() -> None:
    make.sale(make.article("A1"), kind="invoice", customer=make.customer("Ann Lee"), asked=50)
    found = bring(as_csv(*BANK[:2]), "bank.csv", into="payments", answers={"how": "bank", "pay:2": "INV-001"})
    assert not found.done
    assert "is the balance due on INV-001" in found.doubts[0].why
    assert not Payment.objects.exists()


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
