"""Selling: one transaction writes the paper, lets the pieces go, and takes the number, the money and what selling cost.

Issued papers are frozen. The way back is `credits.credit`, which has a paper and a number of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from costing.make.cost import services as cost_services
from costing.sell.customers.models import Customer
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.fairs.models import Fair
from costing.sell.payments import selectors as payments_read, services as payments, settlement
from costing.sell.payments.services import Paid
from costing.sell.pricing import rules as pricing, selectors as pricing_read
from costing.sell.pricing.channels.models import Channel
from costing.sell.rounding.rules import Level, Way
from costing.sell.sales.invoices import rules as invoices, selectors as invoices_read, services as papers
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.offers import services as offers
from costing.sell.sales.offers.services import Item
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.terms import selectors as terms_read
from costing.sell.sales.terms.models import Terms
from inventory.base import checks, selectors as workshop_read
from inventory.base.services import service
from inventory.errors import Refused, each_row
from inventory.ledger import services as ledger
from inventory.ledger.services import Draw
from inventory.models import Article, Kind as StockKind, Move, Posting
from inventory.money import ZERO
from inventory.permits import Act, Person, author
from inventory.places.moves import services as moves


@dataclass(frozen=True)
class AsIssued:
    """A paper that was issued before it came here, kept as it stood: whom it names, its tax, its day to pay.

    What such a paper had to say was settled when it was issued, by the law and the terms of that day.
    """

    seller: dict[str, str]
    buyer: dict[str, str]
    taxed: bool = False
    prices_with_tax: bool = True
    tax_level: str = Level.RATE
    tax_way: str = Way.HALF_UP
    due_on: date | None = None


@service(Act.PRICES, makes=Sale)
def sell(
    *,
    on: date,
    items: Sequence[Item],
    kind: str = Sale.Kind.SALE,
    customer: Customer | None = None,
    channel: Channel | None = None,
    fair: Fair | None = None,
    issued_on: date | None = None,
    paid: Sequence[Paid] = (),
    spent: Sequence[Cost] = (),
    box: Posting | Draw | None = None,
    note: str = "",
    as_issued: AsIssued | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Sale:
    """Sell pieces, work on customers' skins, a spoiled skin, postage.

    `box` is the posting that took the packing, or what is to be taken from the shelf for it now. `as_issued` takes over a
    paper that stands already (a folder that is loaded); its number is still the next of its series.
    """
    checks.day(on)
    issued_on = checks.day(issued_on or on, field="issued_on")
    if kind not in (Sale.Kind.SALE, Sale.Kind.INVOICE):
        raise Refused("A sale has the paper of a sale or of an invoice.", field="kind")
    if not items:
        raise Refused("Nothing was chosen. Name at least one thing that was sold.", field="items")
    terms = terms_read.terms()
    frozen = as_issued or _as_issued_now(kind, issued_on, customer, terms)
    if frozen.taxed and not frozen.seller.get("tax_number"):
        raise Refused("A paper with tax on it names the seller's tax number.", field="tax_number")
    paper = Sale(
        kind=kind,
        on=on,
        issued_on=issued_on,
        customer=customer,
        channel=channel,
        fair=fair,
        packing=box if isinstance(box, Posting) else None,
        note=checks.text(note, "The note", field="note", longest=200),
        currency=workshop_read.current().currency,
        written_by=author(by),
        **vars(frozen),
    )
    lines = _offered(paper, items, box, taken_over=as_issued is not None)
    total = papers.totals(paper, lines)
    if not paper.customer and kind == Sale.Kind.INVOICE:
        raise Refused(
            "An invoice is made out to somebody. Choose the customer, or sell over the counter.", field="customer"
        )
    if as_issued is None:
        _refuse_long(paper, total, terms)
        papers.refuse_incomplete(paper, lines, total, terms)
    if isinstance(box, Draw):
        paper.packing = _packed(box, on, by)
    papers.issue(paper, lines, total)
    for item in items:
        _hand_over(item, paper)
    with settlement.once():
        settlement.settle(paper)
        for cost in spent:
            _spend(cost, paper)
        for each in paid:
            _receive(each, paper)
    return paper


def _as_issued_now(kind: str, issued_on: date, customer: Customer | None, terms: Terms) -> AsIssued:
    return AsIssued(
        seller=invoices_read.seller(),
        buyer=invoices_read.buyer(customer),
        taxed=terms.taxed,
        prices_with_tax=terms.prices_with_tax,
        tax_level=terms.tax_level,
        tax_way=terms.tax_way,
        due_on=issued_on + timedelta(days=terms.payment_days) if kind == Sale.Kind.INVOICE else None,
    )


def _packed(box: Draw, on: date, by: Person) -> Posting:
    try:
        return ledger.issue(kind=StockKind.SOLD, on=on, draws=[box], by=by)
    except Refused as refused:
        if refused.field == "quantity":
            refused.field, refused.row = "boxes", None  # of the paper, and of no line of it
        raise


def _offered(paper: Sale, items: Sequence[Item], box: Posting | Draw | None, *, taken_over: bool) -> list[SaleLine]:
    """Its lines, once everything is held that it sells. Locked in one order: the material of the box, then things."""
    offers.refuse_twice(items)
    if isinstance(box, Draw):
        ledger.lock([box.material])
    offers.hold(items)
    each_row(items, lambda item: offers.refuse_unsold(item, paper, taken_over=taken_over))
    offers.refuse_packing(paper.packing)
    return each_row(items, lambda item: offers.line(item, paper))


def _refuse_long(paper: Sale, total: tax.Summary, terms: Terms) -> None:
    """A sale over the counter has the short paper, as far as the maker's limit goes; where no law lists fields, none is."""
    limited = paper.kind == Sale.Kind.SALE and paper.taxed and terms.law != invoices.Law.US
    if not limited or invoices.may_be_simplified(total.gross, terms.short_limit):
        return
    raise Refused(
        f"{workshop_read.coins(total.gross)} is more than a short paper may come to. "
        "Write an invoice, or set the limit in Setup, terms.",
        field="kind",
    )


def _spend(cost: Cost, sale: Sale) -> None:
    amount = fee(sale) if cost.amount is None else cost.amount
    if amount or cost.amount is not None:
        said = {**vars(cost), "amount": amount, "on": cost.on or sale.on}
        expenses.write(**said, sale=sale, writer=sale.written_by)


def fee(sale: Sale) -> Decimal:
    """What the channel of a sale keeps of it, its fixed fee with it; nothing of a direct one."""
    if sale.channel is None:
        return ZERO
    return pricing.fee(sale.net, sale.gross, pricing_read.plain(sale.channel), workshop_read.places())


def _receive(paid: Paid, sale: Sale) -> None:
    amount = payments_read.balance(sale, date.max).left if paid.amount is None else paid.amount
    if amount or paid.amount is not None:
        payments.write(sale=sale, amount=amount, how=paid.how, on=paid.on or sale.on, writer=sale.written_by)


def _hand_over(item: Item, sale: Sale) -> None:
    if item.article is not None:
        moves.leave(article=item.article, on=sale.on, why=Move.Why.SOLD, note=sale.number, writer=sale.written_by)
    if item.job is not None:
        item.job.handed_over_on = sale.on
        item.job.save(update_fields=["handed_over_on"])
        for article in Article.objects.filter(parts__skin=item.job.skin, gone_on__isnull=True).order_by("pk"):
            moves.leave(article=article, on=sale.on, why=Move.Why.DELIVERED, note=sale.number, writer=sale.written_by)
    if item.skin is not None:
        # What its scrap brought comes off the loss that the others may bear.
        cost_services.refresh_skins([item.skin.pk])
