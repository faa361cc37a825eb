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
from costing.sell.headings import selectors as headings
from costing.sell.headings.models import CostKind
from costing.sell.payments import services as payments, settlement
from costing.sell.sales.models import Sale
from inventory import formats
from inventory.base import bills, bought, checks, selectors as workshop, services as entries
from inventory.base.checks import coins, refuse_paid_and_due
from inventory.base.models import How
from inventory.base.selectors import coins as coins_of
from inventory.base.services import service
from inventory.errors import Refused
from inventory.money import half_up
from inventory.permits import Act, Person, author

YEAR_MINUTES = 366 * 24 * 60
LONGEST_LIFE = 50


class Spent(TypedDict, total=False):
    """What is said of a cost. `withheld`: kept back by who pays for the sale, such as a gallery's fee.

    `how` it was paid, or the day it is `due_on` where it is paid later; neither: not said. A `distance` (of the kind's `unit`, at
    the kind's `rate` unless another is named) makes the amount: leave it out. `life_years` of equipment, `person` of a contractor.
    `with_tax`: the amount has the tax at `tax_percent` in it, which is deducted. `tax`: that tax as it is known, beside it.
    `bill`: the content of the paper that says it, a photo or a PDF.
    """

    kind: Required[str]
    on: Required[date]
    amount: Decimal | None
    how: str
    due_on: date | None
    distance: Decimal | None
    unit: str
    rate: Decimal | None
    life_years: int | None
    person: str
    words: str
    sale: Sale | None
    fair: Fair | None
    withheld: bool
    tax_percent: Decimal | None
    with_tax: bool
    tax: Decimal | None
    original_sum: Decimal | None
    original_currency: str
    bill: bytes | None


@service(Act.BOOKS, makes=Expense)
def spend(*, by: Person = None, request_key: str | None = None, **spent: Unpack[Spent]) -> Expense:
    """What selling or the year cost."""
    return write(**spent, writer=author(by))


def write(*, writer: User | None, **spent: Unpack[Spent]) -> Expense:
    """For services that book a cost with a sale, inside their transaction."""
    tax, with_tax, bill = spent.pop("tax", None), spent.pop("with_tax", False), spent.pop("bill", None)
    foreign, currency = spent.pop("original_sum", None), spent.pop("original_currency", "")
    row = Expense(**{"amount": None, **spent}, written_by=writer)
    checks.day(row.on)
    known = headings.kinds()
    if row.kind not in known:
        raise Refused(f"{row.kind!r} is not a known kind of cost; choose one of {', '.join(known)}.", field="kind")
    _describe(row, known[row.kind])
    checks.positive(coins(row.amount, "The amount", field="amount"), "The amount", field="amount")
    row.amount = bought.taken_out(row, row.amount, tax, with_tax=with_tax)
    bought.say_foreign(row, row.paid, foreign, currency)
    if row.withheld:
        if row.sale is None:
            raise Refused("Money is withheld from a sale; name the sale.", field="sale")
        payments.refuse_more_than_owed(row.sale, row.paid)
    row.words = checks.text(row.words, "The words", field="words", longest=200)
    row.fair = row.fair or (row.sale.fair if row.sale else None)
    row.bill = bills.keep(bill) if bill is not None else ""
    row.save()
    _settle(row)
    return row


def _settle(row: Expense) -> None:
    if row.sale is not None and row.withheld:
        settlement.settle(row.sale)


@service(Act.BOOKS)
def attach(*, expense: Expense, bill: bytes, by: Person = None) -> Expense:
    """Keep the paper of a cost, in place of one that was kept before."""
    row = Expense.objects.select_for_update(of=("self",)).get(pk=expense.pk)
    row.bill = bills.keep(bill)
    row.save(update_fields=["bill"])
    return row


@service(Act.BOOKS, makes=Expense)
def reverse(*, expense: Expense, on: date | None = None, by: Person = None, request_key: str | None = None) -> Expense:
    """A cost that never was."""
    back = entries.reverse(expense, _mirrored, already="This cost is reversed already.", on=on, writer=author(by))
    _settle(back)
    return back


def _mirrored(row: Expense, on: date) -> Expense:
    same = {name: getattr(row, name) for name in _SAME}
    return Expense(on=on, amount=-row.amount, **bought.same(row), **same)


_SAME = (
    "kind",
    "words",
    "sale",
    "fair",
    "withheld",
    "how",
    "due_on",
    "distance",
    "unit",
    "rate",
    "life_years",
    "person",
)


def _describe(row: Expense, kind: CostKind) -> None:
    """What this kind of cost is entered by, and how it was or will be paid."""
    asks = kind.asks
    if asks == CostKind.Asks.DISTANCE:
        _drive(row, kind)
    elif row.distance is not None or row.rate is not None or row.unit:
        raise Refused(f"{kind} is not entered by distance. Leave distance and rate empty.", field="distance")
    elif row.amount is None:
        raise Refused("The amount is missing. Enter what it cost.", field="amount")
    if asks == CostKind.Asks.LIFE:
        if row.life_years is None or not 1 <= row.life_years <= LONGEST_LIFE:
            raise Refused(f"How many years does it last? Enter 1 to {LONGEST_LIFE}.", field="life_years")
    elif row.life_years is not None:
        raise Refused(f"{kind} counts in the year it was spent. Leave its life in years empty.", field="life_years")
    needed = asks == CostKind.Asks.PERSON
    row.person = checks.text(row.person, "The person", field="person", longest=80, needed=needed)
    if row.how:
        checks.choice(row.how, How.values, "way to pay", field="how")
    refuse_paid_and_due(row.how, row.due_on, row.on)
    if row.withheld and (row.how or row.due_on):
        raise Refused("What was deducted before the payout is paid already. Leave how and due empty.", field="how")


def _drive(row: Expense, kind: CostKind) -> None:
    """distance x rate, rounded half up to the coin once. An amount that is given must be that."""
    if row.distance is None:
        raise Refused(f"How far was it? Enter the distance in {row.unit or kind.unit or 'km or mi'}.", field="distance")
    checks.held(checks.positive(row.distance, "The distance", field="distance"), field="distance")
    row.unit, row.rate = row.unit or kind.unit, kind.rate if row.rate is None else row.rate
    if row.rate is None:
        raise Refused(f"{kind} has no rate yet. Set it under Setup, Kinds of cost, or enter it here.", field="rate")
    if row.unit not in CostKind.Unit.values:
        raise Refused("Say whether the distance is in km or mi.", field="unit")
    checks.held(checks.positive(row.rate, "The rate", field="rate"), field="rate")
    amount = half_up(row.distance * row.rate, workshop.places())
    if row.amount is not None and row.amount != amount:
        raise Refused(
            f"{formats.plain(row.distance)} {row.unit} at {formats.plain(row.rate)} are {coins_of(amount)}, not {row.amount}. "
            "Leave the amount empty.",
            field="amount",
        )
    if row.how or row.due_on:
        raise Refused("A distance at a rate moves no money. Leave how and due empty.", field="how")
    row.amount = amount


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
