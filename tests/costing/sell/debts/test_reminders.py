"""Reminders: one tone after the other, the words of the terms, interest as a line that nothing books."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from costing.models import Payment, Reminder, Sale, Terms
from costing.report.year.profit import selectors as results
from costing.sell.debts.reminders import rules, selectors as reminders_read, services as reminders
from costing.sell.payments import selectors as money, services as payments
from costing.sell.sales.credits import services as credits
from costing.sell.sales.terms import services as terms
from costing.sell.sales.terms.rules import USUAL, Tone
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from tests import factories as make
from tests.factories import DAY, days_from, item
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def owed(price: str | int = 1000) -> Sale:
    """Due after 14 days."""
    return make.sale(item(None, price), customer=make.customer())


def remind(sale: Sale, nth: int = 20, **more: Any) -> Reminder:
    return reminders.remind(**{"sale": sale, "on": day(nth), "tone": "friendly", **more})


def test_each_letter_proposes_the_next_tone_and_the_last_one_stays() -> None:
    bill = owed()
    for nth, tone in enumerate(["friendly", "firm", "final", "final"]):
        assert reminders_read.next_tone(bill) == tone
        remind(bill, 20 + nth, tone=reminders_read.next_tone(bill).value)
    reminders.reverse(reminder=Reminder.objects.get(on=day(21)))
    assert [row.tone for row in reminders_read.standing(bill)] == ["friendly", "final", "final"]


def test_a_reversed_letter_is_not_counted_and_is_reversed_once() -> None:
    bill = owed()
    row = remind(bill)
    reminders.reverse(reminder=row)
    assert reminders_read.next_tone(bill) == Tone.FRIENDLY
    with pytest.raises(Refused, match="reversed already"):
        reminders.reverse(reminder=row)


def test_the_words_are_those_of_the_terms_on_that_day_or_of_the_letter() -> None:
    bill = owed()
    assert remind(bill).words == USUAL[Tone.FRIENDLY]
    terms.set_terms(reminder_friendly="Dear you, please pay.")
    kept = remind(bill, 21)
    terms.set_terms()
    kept.refresh_from_db()
    assert kept.words == "Dear you, please pay."
    assert remind(bill, 22, words="Hello.").words == "Hello."
    assert Terms.objects.get().reminder_friendly == USUAL[Tone.FRIENDLY]


def test_interest_is_off_until_the_terms_name_it_and_is_booked_nowhere() -> None:
    bill = owed()
    assert remind(bill, 50).interest == 0
    terms.set_terms(late_interest_percent=D(8))
    row = remind(bill, 50)
    assert (row.amount, row.percent, row.interest) == (1000, 8, D("7.89"))  # 36 days after the due date
    assert money.balance(bill, day(50)).left == 1000
    assert results.year(DAY.year).turnover == 1000
    assert not Payment.objects.exists()


def test_interest_is_of_what_is_left() -> None:
    terms.set_terms(late_interest_percent=D(8))
    bill = owed()
    payments.receive(sale=bill, amount=D(600), on=day(2))
    assert remind(bill, 50).interest == D("3.16")


def test_interest_of_no_day_or_no_debt_is_nothing() -> None:
    assert rules.interest(D(100), D(8), 0) == rules.interest(D(0), D(8), 30) == rules.interest(D(100), D(8), -3) == 0


@pytest.mark.parametrize(
    ("given", "match", "field"),
    [
        ({"tone": "rude"}, "'rude' is not a known tone; choose one of friendly, firm, final", "tone"),
        ({"on": day(14)}, "is due on", "on"),
        ({"words": "x" * 501}, "longer than 500", "words"),
        ({"amount": D(0)}, "more than nothing", "amount"),
    ],
)
def test_what_is_no_reminder_is_refused(given: dict[str, Any], match: str, field: str) -> None:
    bill = owed()
    with pytest.raises(Refused, match=match) as refusal:
        remind(bill, **given)
    assert refusal.value.field == field
    assert not Reminder.objects.exists()


def test_nobody_is_reminded_of_a_credit_a_paid_sale_or_without_a_name() -> None:
    bill = owed()
    with pytest.raises(Refused, match="credit note"):
        remind(credits.credit(sale=bill, on=DAY, reason="x"))
    with pytest.raises(Refused, match="is settled"):
        remind(bill)
    with pytest.raises(Refused, match="nobody to write to"):
        remind(make.sale(item(None, 5)))


@pytest.mark.parametrize("percent", ["-1", "100.5", "1.23456"])
def test_interest_that_cannot_be_is_refused(percent: str) -> None:
    with pytest.raises(Refused) as refusal:
        terms.set_terms(late_interest_percent=D(percent))
    assert refusal.value.field == "late_interest_percent"


def test_a_key_records_one_letter_and_a_helper_may_not() -> None:
    bill = owed()
    assert remind(bill, request_key="k") == remind(bill, request_key="k")
    with pytest.raises(NotAllowed):
        remind(bill, by=make.person("helper"))


def test_three_letters_by_the_pages_each_with_the_next_tone() -> None:
    workshop.pin_today(on=day(30))
    client = signed_in(make.person("bookkeeper"))
    bill = owed()
    address = reverse("sale_remind", args=[bill.number])
    assert address in client.get(reverse("owed")).content.decode()
    for tone in ("friendly", "firm", "final"):
        page = client.get(address)
        assert page.context["form"].initial["tone"] == tone
        shown = client.post(address, {"tone": tone, "on": str(day(30)), "request_key": tone}, follow=True)
        assert f"The {tone} reminder of INV-001 is recorded." in text(shown)
    rows = list(reminders_read.standing(bill))
    assert [row.tone for row in rows] == ["friendly", "firm", "final"]
    assert (
        reverse("reminder_pdf", args=[rows[0].pk]) in client.get(reverse("sale", args=[bill.number])).content.decode()
    )
    client.post(reverse("reminder_reverse", args=[rows[2].pk]), {"request_key": "r"})
    assert reminders_read.next_tone(bill) == "final"
    assert len(reminders_read.standing(bill)) == 2
