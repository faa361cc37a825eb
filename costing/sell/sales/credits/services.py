"""Credit notes: the only way to change an issued paper. Pieces that come back are stock again at the book cost they had."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q

from costing.make.cost import services as cost
from costing.sell.payments import rules as payments_rules, selectors as payments_read, services as payments, settlement
from costing.sell.payments.services import Paid
from costing.sell.sales.invoices import selectors as invoices_read, services as papers
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.terms import selectors as terms_read
from inventory.base import checks, selectors as workshop_read
from inventory.base.checks import coins
from inventory.base.selectors import coins as coins_of
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Article, Place
from inventory.money import ZERO
from inventory.permits import Act, Person, author
from inventory.places.moves import services as moves


@service(Act.PRICES, makes=Sale)
def credit(
    *,
    sale: Sale,
    on: date,
    reason: str,
    lines: Sequence[SaleLine] | None = None,
    amounts: Mapping[int, Decimal] | None = None,
    back_to: Place | None = None,
    refund: Paid | None = None,
    taken_over: bool = False,
    by: Person = None,
    request_key: str | None = None,
) -> Sale:
    """Credit a sale in whole, by lines, or by amounts off lines (by their id), never more than is left of it.

    A whole line that sold a piece brings it back to stock, at `back_to`. An amount off a line is a price cut: the piece
    stays sold. `refund` is money paid back with it; one without an amount pays back all that is then paid too much.
    `taken_over`: the note was issued before it came here; what it had to say was settled by the law of that day.
    """
    checks.day(on)
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
    if sale.kind == Sale.Kind.CREDIT:
        raise Refused(f"{sale.number} is a credit note. Write a new sale instead of crediting it.", field="sale")
    if on < sale.on:
        raise Refused(f"{sale.number} is of {sale.on}; it cannot be credited on {on}, before it.", field="on")
    if lost := sum(sale.write_offs.values_list("amount", flat=True), ZERO):
        raise Refused(
            f"{coins_of(lost)} of {sale.number} is written off as bad debt. Reverse that first, then credit it, and write off"
            " what is still left.",
            field="sale",
        )
    whole, cut = _chosen(sale, lines, amounts or {})
    remaining = invoices_read.uncredited(sale)
    rows = [_mirror(row, sale, remaining[row.pk]) for row in whole]
    rows += [_cut(row, amount, sale, remaining[row.pk]) for row, amount in cut]
    paper = Sale(
        kind=Sale.Kind.CREDIT,
        on=on,
        issued_on=on,
        credits=sale,
        reason=reason,
        written_by=author(by),
        **{name: getattr(sale, name) for name in _OF_THE_SALE},
    )
    total = _judged(paper, sale, rows, cut=bool(cut))
    if not taken_over:
        papers.refuse_incomplete(paper, rows, total, terms_read.terms())
    _hold(whole)
    papers.issue(paper, rows, total)
    for row in whole:
        _bring_back(row, paper, back_to)
    cost.refresh_skins(row.skin_id for row in rows if row.skin_id is not None)
    with settlement.once():
        settlement.settle(sale)
        if refund is not None:
            _give_back(refund, sale, paper)
    return paper


_OF_THE_SALE = (
    *("customer", "channel", "fair", "currency", "seller", "buyer", "taxed", "prices_with_tax"),
    *("tax_level", "tax_way"),
)


def _judged(paper: Sale, sale: Sale, rows: Sequence[SaleLine], *, cut: bool) -> tax.Summary:
    """What the note comes to, never more than its sale and the notes before it left."""
    written = [invoices_read.summary(each) for each in sale.credited_by.prefetch_related("lines")]
    invoice = invoices_read.summary(sale)
    total = _closing(papers.totals(paper, rows), tax.rest(invoice, written), with_tax=sale.prices_with_tax)
    if cut or total.gross:
        # A piece that was given, or whose price was cut to nothing, comes back on a credit of nothing.
        payments_rules.refuse_credit(sale.number, invoice, written, total)
    return total


def _give_back(refund: Paid, sale: Sale, paper: Sale) -> None:
    """Of what was withheld nothing came, so it is not paid back here."""
    day, amount = refund.on or paper.on, refund.amount
    if amount is None:
        amount = payments_read.owed_back(payments_read.settled().get(pk=sale.pk), day)
    if amount or refund.amount is not None:
        payments.write(
            sale=sale, amount=amount, back=True, on=day, how=refund.how, note=paper.number, writer=paper.written_by
        )


def _chosen(
    sale: Sale, lines: Sequence[SaleLine] | None, amounts: Mapping[int, Decimal]
) -> tuple[list[SaleLine], list[tuple[SaleLine, Decimal]]]:
    """The lines as they stand now: those credited in whole, and those cut with by how much."""
    if lines and amounts:
        raise Refused(
            "A credit note credits whole lines, or money off lines; not both. Write one for each.", field="lines"
        )
    standing = {row.pk: row for row in sale.lines.filter(standing=True).order_by("position")}
    asked = list(amounts) if amounts else list(standing) if lines is None else [row.pk for row in lines]
    own = dict(sale.lines.values_list("pk", "words"))
    for pk in asked:
        if pk not in own:
            raise Refused(f"A line that was chosen is not of {sale.number}. Open the sale again.", field="lines")
        if pk not in standing:
            raise Refused(f"“{own[pk]}” on {sale.number} is credited already. Leave it out.", field="lines")
    if not asked:
        raise Refused(f"Nothing is left to credit on {sale.number}, or no line was chosen.", field="lines")
    chosen = [row for pk, row in standing.items() if pk in asked]
    return ([], [(row, amounts[row.pk]) for row in chosen]) if amounts else (chosen, [])


def _closing(total: tax.Summary, rest: tax.Summary, *, with_tax: bool) -> tax.Summary:
    """The last credit of a rate takes exactly what is left at it, to the coin that rounding earlier ones moved."""
    if not total.rates:
        return total
    there = {rate.key: -rate for rate in rest.rates}

    def fitted(rate: tax.RateTotal) -> tax.RateTotal:
        last = there.get(rate.key, rate)
        ends = rate.gross == last.gross if with_tax else rate.taxable == last.taxable
        return last if ends else rate

    rates = map(fitted, total.rates)
    return tax.of_rates(total.mode, total.amounts, rates, workshop_read.places(), total.rounding)


def _hold(rows: Sequence[SaleLine]) -> None:
    """Their pieces, locked in one order."""
    skins = [row.job.skin_id for row in rows if row.job is not None]
    pieces = Q(pk__in=[row.article_id for row in rows if row.article_id]) | Q(parts__skin__in=skins)
    list(Article.objects.select_for_update().filter(pk__in=Article.objects.filter(pieces).values("pk")).order_by("pk"))


def _mirror(row: SaleLine, sale: Sale, remaining: Decimal) -> SaleLine:
    """What is left of a line, reversed with its cost: money that a credit took off its price stands with the discount."""
    off = tax.line_amount(invoices_read.line(row, sale), workshop_read.places()) - remaining
    return _taking_back(
        row,
        words=row.words,
        quantity=-row.quantity,
        asked=row.asked,
        discount=-(row.discount + off),
        book=-row.book,
        full=-row.full,
        own_minutes=-row.own_minutes,
    )


def _cut(row: SaleLine, amount: Decimal, sale: Sale, remaining: Decimal) -> SaleLine:
    """Money off a line. Its cost stays with the piece that stays sold."""
    checks.positive(coins(amount, "The amount", field="amount"), "The amount", field="amount")
    if amount > remaining:
        raise payments_rules.credit_too_large(f"{sale.number} (“{row.words}”)", amount, remaining)
    return _taking_back(row, words=invoices_read.cut_words(row), quantity=Decimal(-1), asked=amount)


def _taking_back(row: SaleLine, **figures: Any) -> SaleLine:
    same = {name: getattr(row, name) for name in ("kind", "article", "job", "skin", "tax_percent", "relief")}
    return SaleLine(of_line=row, standing=False, **same, **figures)


def _bring_back(row: SaleLine, paper: Sale, back_to: Place | None) -> None:
    on, writer = paper.on, paper.written_by
    row.standing = False
    row.save(update_fields=["standing"])
    back = [row.article] if row.article is not None else []
    if row.job is not None:
        row.job.handed_over_on = None
        row.job.save(update_fields=["handed_over_on"])
        back += Article.objects.filter(parts__skin=row.job.skin, gone_on__isnull=False).order_by("pk")
    for article in back:
        moves.come_back(article=article, on=on, to=back_to, note=paper.number, writer=writer)
