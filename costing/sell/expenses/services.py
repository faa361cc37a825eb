"""What is not stock: what one sale, one fair or the year cost, and hours that no skin bears (stall, buying, photos, papers).

Nothing is edited: a mistake is reversed by a linked entry of the same size.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Required, TypedDict, Unpack

from django.contrib.auth.models import User

from costing.sell.expenses.models import Expense, SideHours
from costing.sell.fairs.models import Fair
from costing.sell.payments import services as payments
from costing.sell.sales.models import Sale
from inventory.base import checks, services as entries
from inventory.base.checks import coins
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person, author

YEAR_MINUTES = 366 * 24 * 60


class Spent(TypedDict, total=False):
    """What is said of a cost. `withheld`: kept back by who pays for the sale, such as a gallery's fee."""

    kind: Required[str]
    amount: Required[Decimal]
    on: Required[date]
    words: str
    sale: Sale | None
    fair: Fair | None
    withheld: bool


@service(Act.BOOKS, makes=Expense)
def spend(*, by: Person = None, request_key: str | None = None, **spent: Unpack[Spent]) -> Expense:
    """What selling or the year cost."""
    return write(**spent, writer=author(by))


def write(*, writer: User | None, **spent: Unpack[Spent]) -> Expense:
    """For services that book a cost with a sale, inside their transaction."""
    row = Expense(**spent, written_by=writer)
    checks.day(row.on)
    checks.positive(coins(row.amount, "The amount", field="amount"), "The amount", field="amount")
    if row.kind not in Expense.Kind.values:
        raise Refused(
            f"{row.kind!r} is not a known kind of cost; choose one of {', '.join(Expense.Kind.values)}.", field="kind"
        )
    if row.withheld:
        if row.sale is None:
            raise Refused("Money is withheld from a sale; name the sale.", field="sale")
        payments.refuse_more_than_owed(row.sale, row.amount)
    row.words = checks.text(row.words, "The words", field="words", longest=200)
    row.fair = row.fair or (row.sale.fair if row.sale else None)
    row.save()
    return row


@service(Act.BOOKS, makes=Expense)
def reverse(*, expense: Expense, on: date | None = None, by: Person = None, request_key: str | None = None) -> Expense:
    """A cost that never was."""
    return entries.reverse(expense, _mirrored, already="This cost is reversed already.", on=on, writer=author(by))


def _mirrored(row: Expense, on: date) -> Expense:
    same = {name: getattr(row, name) for name in ("kind", "words", "sale", "fair", "withheld")}
    return Expense(on=on, amount=-row.amount, **same)


@dataclass(frozen=True)
class Cost:
    """What this sale cost: fee, postage. `withheld` was kept back by who pays us, and counts as paid by the buyer.

    No `amount`: what the sale's channel keeps, percent and fixed fee; nothing is written where that is nothing.
    """

    kind: str
    amount: Decimal | None = None
    words: str = ""
    withheld: bool = False
    on: date | None = None


@service(Act.BOOKS, makes=SideHours)
def spend_hours(
    *, kind: str, minutes: Decimal, on: date, words: str = "", by: Person = None, request_key: str | None = None
) -> SideHours:
    """Hours that no skin bears. They may stand for many days (a year's papers), so a day's length is no limit."""
    checks.day(on)
    checks.held(checks.positive(minutes, "The minutes", field="minutes"), field="minutes")
    if minutes > YEAR_MINUTES:
        raise Refused(f"{minutes} minutes are more than a year has.", field="minutes")
    if kind not in SideHours.Kind.values:
        raise Refused(
            f"{kind!r} is not a known kind of hours; choose one of {', '.join(SideHours.Kind.values)}.", field="kind"
        )
    return SideHours.objects.create(
        on=on,
        kind=kind,
        minutes=minutes,
        words=checks.text(words, "The words", field="words", longest=80),
        written_by=author(by),
    )


@service(Act.BOOKS, makes=SideHours)
def reverse_hours(
    *, row: SideHours, on: date | None = None, by: Person = None, request_key: str | None = None
) -> SideHours:
    """Hours that never were."""
    return entries.reverse(row, _mirrored_hours, already="These hours are reversed already.", on=on, writer=author(by))


def _mirrored_hours(row: SideHours, on: date) -> SideHours:
    return SideHours(on=on, kind=row.kind, minutes=-row.minutes, words=row.words)
