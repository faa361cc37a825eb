"""The terms of selling: one row, the owner's own."""

from decimal import Decimal

from costing.sell.rounding.rules import Level, Way
from costing.sell.sales.terms import selectors as terms
from costing.sell.sales.terms.models import LAWS as CHOICES, Terms
from costing.sell.sales.terms.rules import LONGEST, USUAL, Tone
from inventory.base import checks
from inventory.base.checks import coins
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person

HUNDRED = Decimal(100)
LAWS = tuple(name for name, _ in CHOICES)
LONGEST_DAYS = 3650


@service(Act.SETUP)
def set_terms(
    *,
    tax_number: str = "",
    business_number: str = "",
    law: str = "EU",
    short_limit: Decimal | None = None,
    prices_with_tax: bool = True,
    tax_level: str = Level.RATE,
    tax_way: str = Way.HALF_UP,
    deposit_tax: bool = False,
    untaxed_words: str = "",
    payment_days: int = 14,
    payment_words: str = "",
    late_interest_percent: Decimal = Decimal(0),
    reminder_friendly: str = "",
    reminder_firm: str = "",
    reminder_final: str = "",
    deposit_percent: Decimal = Decimal(40),
    storage_free_days: int = 30,
    storage_per_day: Decimal = Decimal(0),
    turnover_limit: Decimal | None = None,
    rolling: bool = False,
    by: Person = None,
) -> Terms:
    """Set them all. No `tax_level` or `tax_way`: each rate, half up; empty words of a reminder are the usual ones. Issued papers
    keep the terms of their day.
    """
    _refuse_unknown(law)
    for days, name in ((payment_days, "payment_days"), (storage_free_days, "storage_free_days")):
        if not 0 <= days <= LONGEST_DAYS:
            raise Refused(f"{days} days cannot be; enter 0 to {LONGEST_DAYS}.", field=name)
    checks.held(checks.not_negative(deposit_percent, "The deposit", field="deposit_percent"), field="deposit_percent")
    if deposit_percent > HUNDRED:
        raise Refused(
            f"A deposit of {deposit_percent} % is more than the price; enter 0 to 100.", field="deposit_percent"
        )
    tax_level, tax_way = tax_level or Level.RATE, tax_way or Way.HALF_UP
    _refuse_rounding(tax_level, tax_way, prices_with_tax)
    _refuse_interest(late_interest_percent)
    row = terms.terms()
    row.tax_level, row.tax_way, row.deposit_tax = tax_level, tax_way, deposit_tax
    row.tax_number = checks.text(tax_number, "The tax number", field="tax_number", longest=40)
    row.business_number = checks.text(business_number, "The business number", field="business_number", longest=40)
    row.law, row.prices_with_tax, row.rolling = law, prices_with_tax, rolling
    row.short_limit = _limit(short_limit, "The limit of a short paper", "short_limit")
    row.turnover_limit = _limit(turnover_limit, "The turnover limit", "turnover_limit")
    row.untaxed_words = (
        checks.text(untaxed_words, "The words", field="untaxed_words", longest=120) or Terms().untaxed_words
    )
    row.payment_days, row.storage_free_days = payment_days, storage_free_days
    row.payment_words = checks.text(payment_words, "How to pay", field="payment_words", longest=200)
    row.late_interest_percent = late_interest_percent
    for tone, said in zip(Tone, (reminder_friendly, reminder_firm, reminder_final), strict=True):
        field = f"reminder_{tone}"
        setattr(row, field, checks.text(said, "The words", field=field, longest=LONGEST) or USUAL[tone])
    row.deposit_percent = deposit_percent
    row.storage_per_day = coins(storage_per_day, "The charge for storage", field="storage_per_day")
    row.save()
    return row


@service(Act.SETUP)
def set_law(*, law: str, by: Person = None) -> Terms:
    """Whose list of fields an invoice must fill; the other terms stay."""
    _refuse_unknown(law)
    row = terms.terms()
    if row.law != law:
        row.law = law
        row.save()
    return row


def _refuse_unknown(law: str) -> None:
    if law not in LAWS:
        raise Refused(f"{law!r} is not a law known here; choose one of {', '.join(LAWS)}.", field="law")


def _refuse_interest(percent: Decimal) -> None:
    field = "late_interest_percent"
    checks.held(checks.not_negative(percent, "The interest", field=field), field=field)
    if percent > HUNDRED:
        raise Refused(f"Interest of {percent} % a year is not believable; enter 0 to 100.", field=field)


def _limit(value: Decimal | None, what: str, field: str) -> Decimal | None:
    return None if value is None else coins(checks.positive(value, what, field=field), what, field=field)


def _refuse_rounding(level: str, way: str, prices_with_tax: bool) -> None:
    """Down is for the total of prices without tax: nobody may round each line down, nor take less out of a price."""
    checks.choice(level, list(Level), "level of rounding", field="tax_level")
    checks.choice(way, list(Way), "way of rounding", field="tax_way")
    if way == Way.DOWN and (level == Level.LINE or prices_with_tax):
        raise Refused(
            "Tax is rounded down only on the total of a rate, and only where prices have no tax in them. Choose half up, or"
            " change the other two.",
            field="tax_way",
        )
