"""Who owes whom: what is paid on an invoice, what is left of it, and since when.

Owns the arithmetic of part payments and credits. Must not know a database or how money arrives.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.make.errors import NotAbove, coin
from costing.sell.rounding.rules import USUAL, Taxed
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.tax.rules import RateTotal, Summary
from inventory.errors import Refused
from inventory.money import ZERO


@dataclass(frozen=True)
class Payment:
    """Money that settled a part of an invoice: paid, or set off such as a gallery's fee. Paid back: below zero."""

    on: date
    amount: Decimal
    how: str = ""


@dataclass(frozen=True)
class Balance:
    """How an invoice stands on a day. `left` is still owed to the maker; `overpaid` the maker owes back.

    `written_off` as bad debt is neither owed nor paid.
    """

    total: Decimal
    credited: Decimal
    paid: Decimal
    left: Decimal
    overpaid: Decimal
    due_on: date
    days_late: int
    written_off: Decimal = ZERO


def balance(
    total: Decimal,
    payments: Iterable[Payment] = (),
    credits: Iterable[tuple[date, Decimal]] = (),
    written_off: Iterable[tuple[date, Decimal]] = (),
    *,
    due_on: date,
    on: date,
) -> Balance:
    """What is left of an invoice on a day: total - credits - payments - bad debts, of those up to that day.

    `credits` are (day, gross) with their own sign, below zero. Late are the days after `due_on` while something is left.

    >>> paid = balance(Decimal("165.00"), [Payment(date(2025, 3, 2), Decimal("66.00"))],
    ...     due_on=date(2025, 5, 24), on=date(2025, 5, 24))
    >>> paid.left, paid.days_late
    (Decimal('99.00'), 0)
    """
    credited = -sum((amount for when, amount in credits if when <= on), ZERO)
    paid = sum((payment.amount for payment in payments if payment.on <= on), ZERO)
    lost = sum((amount for when, amount in written_off if when <= on), ZERO)
    open_ = total - credited - paid - lost
    return Balance(
        total=total,
        credited=credited,
        paid=paid,
        left=max(open_, ZERO),
        overpaid=max(-open_, ZERO),
        due_on=due_on,
        days_late=max(0, (on - due_on).days) if open_ > 0 else 0,
        written_off=lost,
    )


def settled_on(
    total: Decimal,
    payments: Iterable[Payment] = (),
    credits: Iterable[tuple[date, Decimal]] = (),
    written_off: Iterable[tuple[date, Decimal]] = (),
    *,
    on: date,
) -> date | None:
    """The day an invoice of `on` was settled: the last on which anything settled a part of it, or its own day.

    None while anything is left or overpaid. From that day on its balance is nothing: all there is happened by then.

    >>> settled_on(Decimal("165.00"), [Payment(date(2025, 3, 2), Decimal("165.00"))], on=date(2025, 2, 24))
    datetime.date(2025, 3, 2)
    """
    paid, credited, lost = list(payments), list(credits), list(written_off)
    end = balance(total, paid, credited, lost, due_on=on, on=date.max)
    if end.left or end.overpaid:
        return None
    return max([on, *(row.on for row in paid), *(when for when, _ in [*credited, *lost])])


def deposit_taxed(amount: Decimal, rate_percent: Decimal, places: int) -> Taxed:
    """A deposit with the tax in it that fell due when it came: net = amount / (1 + rate / 100), half up; tax the rest.

    >>> deposit_taxed(Decimal("100.40"), Decimal("25.5"), 2).vat
    Decimal('20.40')
    """
    return USUAL.taxed(amount, rate_percent, places, includes_tax=True)


def refuse_credit(number: str, invoice: Summary, credits: Sequence[Summary], asked: Summary) -> None:
    """Refuse a credit that is more than is left of its invoice, in whole or at one rate.

    `credits` are those issued already; `asked`, like them, has figures below zero. A credit may not even take a coin
    more tax than is left; `tax.rest` is what the last one may take. `NotAbove` for a credit that credits nothing.
    """
    if asked.gross >= 0:
        raise NotAbove("The credit", -asked.gross, "enter what is credited", field="amount")
    left = tax.rest(invoice, credits)
    if -asked.gross > left.gross:
        raise credit_too_large(number, -asked.gross, left.gross)
    there = {rate.key: rate for rate in left.rates}
    for rate in asked.rates:
        mine = there.get(rate.key, RateTotal(rate.rate, ZERO, ZERO, ZERO, rate.relief))
        for name, wanted, kept in (
            ("with tax", -rate.gross, mine.gross),
            ("without tax", -rate.taxable, mine.taxable),
            ("tax", -rate.tax, mine.tax),
        ):
            if wanted > kept:
                raise credit_too_large(f"{number} (at {rate.rate} %, {name})", wanted, kept)


def credit_too_large(of: str, amount: Decimal, remaining: Decimal) -> Refused:
    """Of an invoice, or of a part of it that `of` names too."""
    return Refused(
        f"A credit of {coin(amount)} is more than the {coin(remaining)} that is left of {of}; credit at most that, or credit "
        "the rest of the invoice.",
        field="amount",
    )
