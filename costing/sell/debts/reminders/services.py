"""Recording that a reminder was sent or printed. Nothing is booked by it, its interest neither."""

from datetime import date
from decimal import Decimal

from django.utils import timezone

from costing.sell.debts.reminders import selectors as reminders
from costing.sell.debts.reminders.models import Reminder
from costing.sell.sales.models import Sale
from costing.sell.sales.terms.rules import LONGEST, Tone
from costing.sell.sales.terms.selectors import terms
from inventory.base import checks
from inventory.base.checks import coins
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person, author


@service(Act.BOOKS, makes=Reminder)
def remind(
    *,
    sale: Sale,
    on: date,
    tone: str,
    words: str = "",
    amount: Decimal | None = None,
    percent: Decimal | None = None,
    interest: Decimal | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Reminder:
    """A letter about a sale that is overdue on its day. No `words`: those of the terms for the tone.

    `amount`, `percent` and `interest` are given for a letter that was sent before it came here, else they are worked out.
    """
    checks.day(on, posts=False)
    checks.choice(tone, list(Tone), "tone", field="tone")
    words = checks.text(words, "The words", field="words", longest=LONGEST) or terms().reminder_words(tone)
    sale.refresh_from_db()
    if sale.kind == Sale.Kind.CREDIT:
        raise Refused(f"{sale.number} is a credit note; nobody owes you anything on it.", field="sale")
    if not sale.buyer.get("name"):
        raise Refused(f"{sale.number} names no buyer, so there is nobody to write to.", field="sale")
    if amount is None:
        now = reminders.draft(sale, on)
        if not now.balance.days_late:
            said = f"due on {now.balance.due_on}" if now.balance.left else "settled"
            raise Refused(f"{sale.number} is {said}; on {on} there is nothing to remind of.", field="on")
        amount, percent, interest = now.balance.left, now.percent, now.interest
    checks.positive(coins(amount, "The balance due", field="amount"), "The balance due", field="amount")
    row = Reminder(sale=sale, on=on, tone=tone, amount=amount, words=words, written_by=author(by))
    row.percent = checks.held(
        checks.not_negative(percent or Decimal(0), "The interest", field="percent"), field="percent"
    )
    row.interest = coins(interest or Decimal(0), "The interest", field="interest")
    row.save()
    return row


@service(Act.BOOKS, makes=Reminder)
def reverse(*, reminder: Reminder, by: Person = None, request_key: str | None = None) -> Reminder:
    """It was not sent after all: it stays on its row, struck out, and the next tone is proposed without it."""
    row = Reminder.objects.select_for_update(of=("self",)).get(pk=reminder.pk)
    if row.reversed_at:
        raise Refused("This reminder is reversed already.")
    row.reversed_at, row.reverser = timezone.now(), author(by)
    row.save(update_fields=["reversed_at", "reverser"])
    return row
