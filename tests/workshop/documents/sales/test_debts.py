"""The reminder and the statement of account as a reader gets them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from tests.workshop.documents import reading
from workshop.documents.kit import page
from workshop.documents.kit.letter import Party, Payment
from workshop.documents.sales import reminder, statement
from workshop.documents.sales.reminder import Letter
from workshop.documents.sales.statement import Account, AccountRow
from workshop.documents.words.rules import Words

pytestmark = pytest.mark.usefixtures("type_is_cut")
D = Decimal
SELLER, BUYER = Party("K. Routamo, Routamo Skins", "Kanervapolku 7"), Party("Craft Room", "High street 1")
PAY = "By bank to 12-345, with the number of the invoice."


def letter(**more: Any) -> Letter:
    said: dict[str, Any] = {
        "title": "Second reminder",
        "on": date(2025, 4, 13),
        "seller": SELLER,
        "buyer": BUYER,
        "text": "Please pay.\nThank you.",
        "number": "INV-007",
        "issued_on": date(2025, 3, 10),
        "due_on": date(2025, 3, 24),
        "total": D("140.00"),
        "owed": D("91.00"),
        "currency": "EUR",
        "payment": Payment(terms=PAY),
    }
    return Letter(**{**said, **more})


def account(rows: int = 2, closing: str = "91.00") -> Account:
    made = tuple(
        AccountRow(date(2025, 3, 10), f"INV-{nth:03}", "Invoice", D("10.00"), None, D(10 * nth))
        for nth in range(1, rows + 1)
    )
    return Account(
        SELLER, BUYER, date(2025, 1, 1), date(2025, 3, 31), made, D(0), D(closing), "EUR", Payment(terms=PAY)
    )


def test_a_letter_names_the_invoice_its_days_what_is_due_and_how_to_pay() -> None:
    said = reading.words(reminder.render(letter()))
    for words in ("Second reminder", "Craft Room", "INV-007", "10 Mar 2025", "24 Mar 2025", "140.00", "91.00", PAY):
        assert words in said
    assert "Please pay." in said
    assert "Interest" not in said


def test_interest_is_a_line_of_its_own_with_its_percent_and_days() -> None:
    said = reading.words(reminder.render(letter(percent=D(8), interest=D("0.40"), days=20)))
    assert "Interest, 8 % a year for 20 days, EUR" in said
    assert "91.40" in said


def test_an_account_says_its_balances_and_how_to_pay_only_where_something_is_owed() -> None:
    said = reading.words(statement.render(account()))
    for words in ("Statement of account", "Opening balance", "INV-002", "Balance due, EUR", "91.00", PAY):
        assert words in said
    over = reading.words(statement.render(account(closing="-5.00")))
    assert "In your favour, EUR" in over
    assert "5.00" in over
    assert PAY not in over


def test_the_makers_own_terms_of_payment_stand_under_how_to_pay_and_nothing_else_does() -> None:
    own = Words(own={"terms.payment": "Late payment bears 8 % a year.\nThank you."})
    for made in (reminder.render(letter(words=own)), statement.render(replace(account(), words=own))):
        assert f"How to pay {PAY} Late payment bears 8 % a year. Thank you." in reading.words(made)
    assert "How to pay" not in reading.words(reminder.render(letter(payment=Payment())))


@pytest.mark.thorough
@pytest.mark.parametrize("size", ["a4", "letter"])
def test_both_fit_their_sheet_however_long(size: str) -> None:
    sheet = page.sheet_of(size) or page.A4
    long = letter(text="A long word indeed. " * 25, seller=Party("N" * 80, "A street and a town " * 10))
    for made in (reminder.render(long, sheet), statement.render(account(90), sheet)):
        reading.assert_printable(made)
    assert len(reading.pages(statement.render(account(90), sheet))) > 1


def test_a_letter_tells_the_account_and_its_reference_and_holds_the_code_as_the_invoice_does() -> None:
    asked = Payment("K. Routamo", "FI21 1234 5600 0007 85", "NDEAFIHH", "RF36 INV0 03", "BCD\n002\n1\nSCT", PAY)
    made = reminder.render(letter(payment=asked))
    reading.assert_printable(made)
    said = reading.words(made)
    for words in ("Pay to K. Routamo", "IBAN FI21 1234 5600 0007 85", "Payment reference RF36 INV0 03", "Scan with"):
        assert words in said
