"""Debtors of the old books: what was still to be paid of their invoices when these began.

They are owed and paid like any other, and are no turnover here: the old books had it.
"""

from datetime import date
from decimal import Decimal

from costing.sell.customers.models import Customer
from costing.sell.payments import settlement
from costing.sell.sales.invoices import selectors as invoices, services as papers
from costing.sell.sales.models import Sale, SaleLine, Series
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.numbering.rules import Series as Run
from inventory.base import checks, selectors as workshop
from inventory.base.services import service
from inventory.errors import Refused
from inventory.money import ZERO
from inventory.permits import Act, Person, author

MOST_PERCENT = 100


@service(Act.BOOKS, makes=Sale)
def take_over(
    *,
    number: str,
    on: date,
    customer: Customer,
    amount: Decimal,
    tax_percent: Decimal = ZERO,
    due_on: date | None = None,
    note: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Sale:
    """An invoice of the old books with what is still to be paid of it. `tax_percent`: the rate of the tax in that amount.

    Its number stays its own, and may be none that a series would give again.
    """
    number = checks.new_code(number, "The number", Sale, field="number")
    _refuse_given_again(number)
    checks.day(on, posts=False)
    if due_on is not None and due_on < on:
        raise Refused(f"It is of {on} and cannot have been due on {due_on}.", field="due_on")
    checks.positive(checks.coins(amount, "The amount", field="amount"), "The amount", field="amount")
    checks.held(checks.not_negative(tax_percent, "The tax rate", field="tax_percent"), field="tax_percent")
    if tax_percent > MOST_PERCENT:
        raise Refused(f"A tax rate of {tax_percent} % is not believable.", field="tax_percent")
    seller = invoices.seller()
    earlier = Sale.objects.filter(kind=Sale.Kind.OPENING).order_by("-sequence").first()
    if tax_percent and not seller.get("tax_number"):
        raise Refused("Tax is in it only where the seller has a tax number: set it in the terms.", field="tax_percent")
    paper = Sale(
        kind=Sale.Kind.OPENING,
        number=number,
        sequence=(earlier.sequence if earlier else 0) + 1,
        on=on,
        issued_on=on,
        due_on=due_on,
        customer=customer,
        note=checks.text(note, "The note", field="note", longest=200),
        currency=workshop.current().currency,
        seller=seller,
        buyer=invoices.buyer(customer),
        taxed=bool(tax_percent),
        written_by=author(by),
    )
    line = SaleLine(
        kind=SaleLine.Kind.OTHER,
        words=f"Still to be paid of {number}",
        asked=amount,
        tax_percent=tax_percent,
        position=1,
    )
    total = papers.totals(paper, [line])
    paper.net, paper.tax, paper.gross = total.net, total.tax or ZERO, total.gross
    paper.save(force_insert=True)
    line.sale, line.net, line.tax, line.gross = paper, paper.net, paper.tax, paper.gross
    line.save(force_insert=True)
    settlement.settle(paper)
    return paper


def _refuse_given_again(number: str) -> None:
    for kind in (Series.Kind.SALE, Series.Kind.INVOICE, Series.Kind.CREDIT):
        row = Series.objects.filter(kind=kind).first() or numbering.usual(kind)
        if numbering.counted(Run(row.prefix, row.digits), number) > row.last:
            raise Refused(
                f"{number} would be given again by the series “{row.get_kind_display().lower()}”, whose next number is "
                f"{row.last + 1}. Set the next number first, under Setup, Moving in.",
                field="number",
            )
