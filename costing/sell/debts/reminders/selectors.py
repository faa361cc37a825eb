"""Reminders of a sale, and what the next one would say."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from costing.sell.debts.reminders import rules
from costing.sell.debts.reminders.models import Reminder
from costing.sell.payments import rules as payments_rules, selectors as payments
from costing.sell.sales.models import Sale
from costing.sell.sales.terms.rules import Tone
from costing.sell.sales.terms.selectors import terms
from inventory.base import selectors as workshop


@dataclass(frozen=True)
class Draft:
    """What a reminder of a day would ask: the balance due, and `interest` at `percent` a year where the terms name one."""

    balance: payments_rules.Balance
    percent: Decimal
    interest: Decimal


def standing(sale: Sale) -> QuerySet[Reminder]:
    """Those that were sent, the first one first."""
    return sale.reminders.filter(reversed_at__isnull=True).order_by("on", "pk")


def next_tone(sale: Sale) -> Tone:
    return rules.next_tone(standing(sale).values_list("tone", flat=True))


def draft(sale: Sale, on: date) -> Draft:
    """Interest runs on the balance of the day from the due date."""
    balance = payments.balance(payments.settled().get(pk=sale.pk), on)
    percent = Decimal(terms().late_interest_percent)
    return Draft(balance, percent, rules.interest(balance.left, percent, balance.days_late, workshop.places()))
