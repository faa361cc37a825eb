"""Every line of the tables in docs/explanation/tampering.md, done in SQL behind the program's back and read as it stands there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from pytest_django import DjangoDbBlocker

from costing.make.readings import services as readings
from costing.make.readings.areas import services as areas
from costing.make.readings.areas.taps import Tapped
from costing.report.audit import selectors as audit
from costing.sell.accounts import services as accounts
from costing.sell.expenses import services as expenses
from costing.sell.payments.services import Paid
from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.base.chain import selectors as chain, services as chain_services
from inventory.models import Skin
from tests import factories as make
from tests.docs import pages
from tests.factories import DAY, item
from tests.workshop.transfer.folders import picture

pytestmark = pytest.mark.django_db
TOLD = pages.sections(pages.text("explanation/tampering.md"))
NOTICED = pages.rows(TOLD["What it notices"])
NOT_ALONE = [row for row in pages.rows(TOLD["What it cannot notice by itself"]) if len(row) == 3]
ALLOWED = [row for row in pages.rows(TOLD["What it cannot notice by itself"]) if len(row) == 2]

POSTING = "INSERT INTO inventory_posting (kind, \"on\", reason, written_at) VALUES ('use', '2025-03-04', '', '2025-03-04 12:00:00')"
LINE, SALE = "UPDATE costing_saleline SET", "UPDATE costing_sale SET"

DONE = {
    "the value of a movement": "UPDATE inventory_movement SET value = value - 10 WHERE kind = 'use'",
    "the day of a posting": "UPDATE inventory_posting SET \"on\" = '2025-03-05' WHERE kind = 'use'",
    "the reason of a posting": "UPDATE inventory_posting SET reason = 'rain' WHERE kind = 'use'",
    "who wrote a posting": "UPDATE inventory_posting SET written_by_id = (SELECT MAX(id) FROM auth_user)",
    "which skin a use went on": "UPDATE costing_use_skins SET skin_id = (SELECT MAX(id) FROM inventory_skin)",
    "the lot that a use was taken from": "UPDATE inventory_lotdraw SET lot_id = (SELECT MAX(id) FROM inventory_lot)",
    "the number of a delivery's bill": "UPDATE inventory_delivery SET ref = 'P-1X'",
    "the day of a delivery": "UPDATE inventory_delivery SET \"on\" = '2025-03-05'",
    "a delivery deleted": "DELETE FROM inventory_deliveryline; DELETE FROM inventory_delivery",
    "what a skin was bought for": "UPDATE inventory_skin SET price = 13000 WHERE tag = 'H01'",
    "a raw skin marked finished": "UPDATE inventory_skin SET stage = 'finished' WHERE tag = 'H02'",
    "minutes of work": "UPDATE costing_labourline SET minutes = minutes + 1000",
    "the frozen minutes of a piece": "UPDATE costing_articlecost SET minutes = minutes + 1000000000",
    "the frozen cost of a piece": "UPDATE costing_articlecost SET book = book + 10, late_book = late_book - 10",
    "the price of a sold line": f"{LINE} asked = asked + 1000",
    "the discount of a sold line": f"{LINE} discount = 1000",
    "the tax rate of a sold line": f"{LINE} tax_percent = 14000",
    "the price and the total of a sale, fitting each other": (
        f"{LINE} asked = asked - 2510, gross = gross - 2510, net = net - 2000, tax = tax - 510; "
        f"{SALE} gross = gross - 2510, net = net - 2000, tax = tax - 510; "
        "UPDATE costing_payment SET amount = amount - 2510"
    ),
    "the buyer on a paper": f"{SALE} buyer = '{{}}'",
    "the words of a sold line": f"{LINE} words = 'goat'",
    "the day of a payment": "UPDATE costing_payment SET \"on\" = '2025-03-05'",
    "a payment deleted": "DELETE FROM costing_payment",
    "what a cost was for": "UPDATE costing_expense SET words = 'boat'",
    "a cost deleted": "DELETE FROM costing_expense",
    "hours that no skin bears": "UPDATE costing_sidehours SET minutes = 1000",
    "a point that was tapped on a photo": """UPDATE costing_photoarea SET taps = '{"outline": []}'""",
    "why the books were opened again": "UPDATE inventory_closing SET reason = 'rain' WHERE reason <> ''",
    "a closing deleted": "DELETE FROM inventory_closing WHERE reason = ''",
    "a posting that the program never wrote": POSTING,
    "a fingerprint": "UPDATE inventory_chainlink SET digest = 'a' WHERE position = 3",
    "a fingerprint deleted": "DELETE FROM inventory_chainlink WHERE position = 3",
    "the name of a material": "UPDATE inventory_material SET name = 'Gold'",
    "the address of a customer": "UPDATE costing_customer SET postal_address = 'elsewhere'",
    "the opening balance of an account": "UPDATE costing_openingbalance SET amount = 1000",
    "an entry changed, and the whole chain worked out anew": (
        "UPDATE costing_expense SET words = 'boat'; DELETE FROM inventory_chainlink; "
        "INSERT INTO inventory_chainlink (position, kind, \"row\", digest) VALUES (0, 'adopt', 0, '" + "0" * 64 + "')"
    ),
    "the newest entries and their links deleted": (
        "DELETE FROM inventory_closing WHERE id IN (SELECT \"row\" FROM inventory_chainlink WHERE kind = 'closing'); "
        "DELETE FROM inventory_chainlink WHERE kind = 'closing'"
    ),
}


@pytest.fixture(scope="module")
def standing(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """A workshop that charges tax, written once: each test changes it in a savepoint."""
    with django_db_blocker.unblock(), transaction.atomic():
        workshop.forget()
        write_books()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def books(standing: None, db: None) -> None:
    """Clean books, free to be changed."""


def write_books() -> None:
    make.owner()
    make.registered()
    salt = make.material("SALT", on_hand=10, value="10.00")
    make.skin("H01")
    make.skin("H02")
    make.put(None, salt, 1, tags=["H01"])
    make.work(tags=["H01"])
    (piece,) = make.finish("H01")
    make.delivery(make.line(salt), ref="P-1")
    accounts.open_account(account="cash", on=DAY, amount=Decimal(5))
    make.sale(item(piece, "125.50", tax_percent=Decimal("25.5")), customer=make.customer(), paid=[Paid()])
    expenses.spend(kind="rent", amount=Decimal(60), on=DAY, words="shed")
    expenses.spend_hours(kind="papers", minutes=Decimal(30), on=DAY)
    tapped = Tapped(((0, 0), (100, 0)), ((20, 20), (120, 20), (20, 90)), apart=Decimal(500))
    areas.measure(skin=Skin.objects.get(tag="H02"), photo=readings.keep(picture()), tapped=tapped, on=DAY)
    accounting.close_books(to=DAY)
    accounting.close_books(to=None, reason="a bill came late")
    assert audit.findings() == []


def do(what: str) -> None:
    with connection.cursor() as cursor:
        for statement in DONE[what].split("; "):
            cursor.execute(statement)


def _without_keys(words: str) -> str:
    """Rows are named by keys, and other tests used some up."""
    return re.sub(r"\d+", "#", words)


def _asked(value: str) -> str:
    out = StringIO()
    call_command("check_books", was=value, stdout=out)
    return out.getvalue()


def test_the_page_tells_all_that_is_tried_here() -> None:
    assert [row[0] for row in (*NOTICED, *ALLOWED, *NOT_ALONE)] == list(DONE)


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize(("what", "said"), NOTICED)
def test_it_is_noticed(books: None, what: str, said: str) -> None:
    do(what)
    found = audit.findings()
    assert any(_without_keys(said) in _without_keys(each) for each in found), found


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("what", "alone", "kept"), NOT_ALONE)
def test_only_a_value_that_was_kept_shows_it(books: None, what: str, alone: str, kept: str) -> None:
    value = chain.head().value
    assert f"{value} is the check value after" in _asked(value)
    do(what)
    chain_services.adopt()
    assert alone == "clean"
    assert audit.findings() == []
    with pytest.raises(CommandError, match=kept):
        _asked(value)


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("what", "said"), ALLOWED)
def test_it_may_be_changed(books: None, what: str, said: str) -> None:
    do(what)
    assert (audit.findings(), said) == ([], "nothing")
