"""Selling: one transaction writes the paper, lets the pieces go, and takes the number, the money and what selling cost.

Issued papers are frozen. The way back is `credits.credit`, which has a paper and a number of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.contrib.auth.models import User
from django.db import transaction

from costing.make.cost import services as cost_services
from costing.sell.customers.models import Customer
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.fairs.models import Fair
from costing.sell.payments import rules as payments_rules
from costing.sell.payments import selectors as payments_read
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales.invoices import rules as invoices
from costing.sell.sales.invoices import selectors as invoices_read
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.numbering.models import Series
from costing.sell.sales.offers import services as offers
from costing.sell.sales.offers.services import Borne, Item
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.terms import selectors as terms_read
from costing.sell.sales.terms.models import Terms
from inventory.base import checks
from inventory.base import selectors as workshop_read
from inventory.base import services as entries
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.ledger.services import Draw
from inventory.models import Article, Move, Posting
from inventory.models import Kind as StockKind
from inventory.money import ZERO, allocate, half_up
from inventory.permits import Act, Person, require
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
    due_on: date | None = None

    def terms(self) -> Terms:
        """The terms of now, with the tax of then. Not saved."""
        row = terms_read.terms()
        row.tax_number = self.seller.get("tax_number", "") if self.taxed else ""
        row.prices_with_tax = self.prices_with_tax
        if self.taxed and not row.tax_number:
            raise Refused("A paper with tax on it names the seller's tax number.", field="tax_number")
        return row


@dataclass
class Draft:
    """A sale before it has a number."""

    kind: str
    on: date
    issued_on: date
    items: Sequence[Item]
    customer: Customer | None
    channel: Channel | None
    fair: Fair | None
    box: Posting | None
    note: str
    terms: Terms
    writer: User | None
    issued: AsIssued | None = None
    lines: list[tax.Line] = field(default_factory=list)


@transaction.atomic
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
    writer = require(by, Act.PRICES)
    if done := entries.earlier(request_key, Sale, "sell"):
        return done
    checks.day(on)
    issued = checks.day(issued_on or on, field="issued_on")
    if kind not in (Sale.Kind.SALE, Sale.Kind.INVOICE):
        raise Refused("A sale has the paper of a sale or of an invoice.", field="kind")
    if not items:
        raise Refused("Nothing was chosen. Name at least one thing that was sold.", field="items")
    note = checks.text(note, "The note", field="note", longest=200)
    packed = box if isinstance(box, Posting) else None
    terms = as_issued.terms() if as_issued else terms_read.terms()
    draft = Draft(kind, on, issued, items, customer, channel, fair, packed, note, terms, writer, as_issued)
    offers.refuse_twice(items)
    if isinstance(box, Draw):
        ledger.lock([box.material])
    offers.hold(items)
    for item in items:
        offers.refuse_unsold(item, on=on, channel=channel, customer=customer, over=as_issued is not None)
    offers.refuse_packing(packed)
    draft.lines = [offers.line(item, draft.terms, on) for item in items]
    borne = [item.borne or offers.borne(item, on) for item in items]
    mode = terms_read.mode(draft.terms)
    total = tax.summary(draft.lines, mode, workshop_read.places())
    _refuse_incomplete(draft, total)
    if isinstance(box, Draw):
        draft.box = ledger.issue(kind=StockKind.SOLD, on=on, draws=[box], by=by)
    # Locked everywhere in one order, so that nobody waits in a ring: materials, things, and the series last.
    sale = _issue(draft, total)
    amounts = parts(draft.lines, total)
    for position, (item, line, what, amount) in enumerate(
        zip(items, draft.lines, borne, amounts, strict=True), start=1
    ):
        _write_line(sale, position, item, line, what, amount)
        _let_go(item, sale, writer)
    for cost in spent:
        _pay_out(cost, sale, writer)
    for each in paid:
        _take_in(each, sale, writer)
    return entries.keep(request_key, sale)


def _pay_out(cost: Cost, sale: Sale, writer: User | None) -> None:
    amount = cost.amount
    if amount is None:
        amount = fee(sale.gross, sale.channel)
        if not amount:
            return
    expenses.pay_out(
        kind=cost.kind,
        amount=amount,
        on=cost.on or sale.on,
        words=cost.words,
        sale=sale,
        withheld=cost.withheld,
        writer=writer,
    )


def fee(gross: Decimal, channel: Channel | None) -> Decimal:
    """What a channel keeps of what the buyer pays: gross × its percent, half up."""
    kept = Fraction(gross) * Fraction(channel.fee_percent) / 100 if channel is not None else ZERO
    return half_up(kept, workshop_read.places())


def _take_in(paid: Paid, sale: Sale, writer: User | None) -> None:
    amount = paid.amount
    if amount is None:
        amount = payments_read.balance(sale, date.max).left
        if not amount:
            return
    payments.take_in(sale=sale, amount=amount, how=paid.how, on=paid.on or sale.on, writer=writer)


def _refuse_incomplete(draft: Draft, total: tax.Summary) -> None:
    """An invoice must say all that its law asks; a sale over the counter is the short paper."""
    terms = draft.terms
    short = draft.kind == Sale.Kind.SALE
    if not short and draft.customer is None:
        raise Refused(
            "An invoice is made out to somebody. Choose the customer, or sell over the counter.", field="customer"
        )
    if draft.issued is not None:
        return
    if short and total.mode is tax.Mode.REGISTERED and not invoices.may_be_simplified(total.gross, terms.short_limit):
        raise Refused(
            f"{workshop_read.coins(total.gross)} is more than a short paper may come to. "
            "Write an invoice, or set the limit in Setup, terms.",
            field="kind",
        )
    paper = invoices.Paper(
        kind=invoices.Kind.SIMPLIFIED if short else invoices.Kind.INVOICE,
        number="to be given",
        issued_on=draft.issued_on,
        supplied_on=draft.on,
        seller=invoices_read.party(invoices_read.seller()),
        buyer=invoices_read.party(invoices_read.buyer(draft.customer)),
        lines=tuple(draft.lines),
        summary=total,
        note=terms.untaxed_words,
    )
    invoices.refuse_incomplete(paper, total.mode, invoices.Law(terms.law))


def _issue(draft: Draft, total: tax.Summary) -> Sale:
    sequence, number = numbering.take(Series.Kind(draft.kind))
    as_issued = draft.issued or AsIssued(
        seller=invoices_read.seller(),
        buyer=invoices_read.buyer(draft.customer),
        due_on=payments_rules.due(draft.issued_on, draft.terms.payment_days)
        if draft.kind == Sale.Kind.INVOICE
        else None,
    )
    return Sale.objects.create(
        kind=draft.kind,
        sequence=sequence,
        number=number,
        on=draft.on,
        issued_on=draft.issued_on,
        due_on=as_issued.due_on,
        customer=draft.customer,
        channel=draft.channel,
        fair=draft.fair,
        packing=draft.box,
        note=draft.note,
        currency=workshop_read.current().currency,
        seller=as_issued.seller,
        buyer=as_issued.buyer,
        taxed=total.mode is tax.Mode.REGISTERED,
        prices_with_tax=draft.terms.prices_with_tax,
        net=total.net,
        tax=total.tax or ZERO,
        gross=total.gross,
        written_by=draft.writer,
    )


@dataclass(frozen=True)
class Amounts:
    """One line's share of a paper's totals."""

    net: Decimal
    tax: Decimal
    gross: Decimal


def parts(lines: Sequence[tax.Line], total: tax.Summary) -> list[Amounts]:
    """What each line comes to, so that the lines add up to the paper: net by the rules of tax, tax shared within a rate."""
    places = workshop_read.places()
    nets = tax.line_nets(lines, total, places)
    if total.mode is tax.Mode.NOT_REGISTERED:
        return [Amounts(net, ZERO, net) for net in nets]
    if any(line.includes_tax for line in lines):
        return [Amounts(net, gross - net, gross) for net, gross in zip(nets, total.amounts, strict=True)]
    taxes = [ZERO] * len(lines)
    for rate in total.rates:
        mine = [place for place, line in enumerate(lines) if (line.rate, line.relief) == rate.key]
        weights = [abs(nets[place]) for place in mine]
        if any(weights):
            for place, share in zip(mine, allocate(rate.tax, weights, places), strict=True):
                taxes[place] = share
    return [Amounts(net, share, net + share) for net, share in zip(nets, taxes, strict=True)]


def _write_line(sale: Sale, position: int, item: Item, line: tax.Line, borne: Borne, amount: Amounts) -> None:
    SaleLine.objects.create(
        sale=sale,
        position=position,
        kind=item.kind,
        article=item.article,
        job=item.job,
        skin=item.skin,
        words=line.what,
        quantity=line.quantity,
        asked=line.unit_price,
        discount=line.discount,
        tax_percent=line.rate or ZERO,
        relief=line.relief,
        net=amount.net,
        tax=amount.tax,
        gross=amount.gross,
        book=borne.book,
        full=borne.full,
        own_minutes=borne.own_minutes,
    )


def _let_go(item: Item, sale: Sale, writer: User | None) -> None:
    if item.article is not None:
        moves.leave(article=item.article, on=sale.on, why=Move.Why.SOLD, note=sale.number, writer=writer)
    if item.job is not None:
        item.job.handed_over_on = sale.on
        item.job.save(update_fields=["handed_over_on"])
        for article in Article.objects.filter(parts__skin=item.job.skin, gone_on__isnull=True).order_by("pk"):
            moves.leave(article=article, on=sale.on, why=Move.Why.DELIVERED, note=sale.number, writer=writer)
    if item.skin is not None:
        # What its scrap brought comes off the loss that the others may bear.
        cost_services.refresh_skins([item.skin.pk])
