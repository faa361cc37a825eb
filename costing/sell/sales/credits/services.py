"""Credit notes: the only way to change an issued paper. Pieces that come back are stock again at the book cost they had."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q

from costing.make.cost import services as cost
from costing.sell.errors import CreditTooLarge
from costing.sell.payments import rules as payments_rules
from costing.sell.payments import selectors as payments_read
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales import services as sales
from costing.sell.sales.invoices import rules as invoices
from costing.sell.sales.invoices import selectors as invoices_read
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.numbering.models import Series
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.terms import selectors as terms_read
from inventory.base import checks
from inventory.base import selectors as workshop_read
from inventory.base import services as entries
from inventory.base.checks import coins
from inventory.errors import Refused
from inventory.models import Article, Place
from inventory.money import ZERO
from inventory.permits import Act, Person, require
from inventory.places.moves import services as moves

CUT = invoices_read.CUT


@transaction.atomic
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
    writer = require(by, Act.PRICES)
    if done := entries.earlier(request_key, Sale, "credit"):
        return done
    checks.day(on)
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
    if sale.kind == Sale.Kind.CREDIT:
        raise Refused(f"{sale.number} is a credit note. Sell anew instead of crediting it.", field="sale")
    if on < sale.on:
        raise Refused(f"{sale.number} is of {sale.on}; it cannot be credited on {on}, before it.", field="on")
    whole, cut = _chosen(sale, lines, amounts or {})
    left = invoices_read.left(sale)
    asked = [_mirror(row, sale, left[row.pk]) for row in whole]
    asked += [_cut(row, amount, sale, left[row.pk]) for row, amount in cut]
    written = [invoices_read.summary(each) for each in sale.credited_by.prefetch_related("lines")]
    invoice = invoices_read.summary(sale)
    total = tax.summary(asked, terms_read.mode(sale), workshop_read.places())
    total = _closing(total, tax.rest(invoice, written), with_tax=sale.prices_with_tax)
    if cut or total.gross:
        # A piece that was given, or whose price was cut to nothing, comes back on a credit of nothing.
        payments_rules.refuse_credit(sale.number, invoice, written, total)
    if not taken_over:
        _refuse_incomplete(sale, on, reason, total, asked)
    # Things before the series, as in a sale.
    _hold(whole)
    paper = _issue(sale, on, reason, total, writer)
    for position, (row, line, amount) in enumerate(
        zip([*whole, *(row for row, _ in cut)], asked, sales.parts(asked, total), strict=True), start=1
    ):
        _write_line(paper, position, row, line, amount, back=position <= len(whole))
    for row in whole:
        _bring_back(row, paper, on, back_to, writer)
    cost.refresh_skins(row.skin_id for row in [*whole, *(row for row, _ in cut)] if row.skin_id is not None)
    if refund is not None:
        _give_back(refund, sale, paper, writer)
    return entries.keep(request_key, paper)


def _give_back(refund: Paid, sale: Sale, paper: Sale, writer: User | None) -> None:
    """Of what was withheld nothing came, so it is not paid back here."""
    day = refund.on or paper.on
    amount = refund.amount
    if amount is None:
        amount = payments_read.owed_back(payments_read.settled().get(pk=sale.pk), day)
        if not amount:
            return
    payments.give_back(sale=sale, amount=amount, on=day, how=refund.how, note=paper.number, writer=writer)


def _chosen(
    sale: Sale, lines: Sequence[SaleLine] | None, amounts: Mapping[int, Decimal]
) -> tuple[list[SaleLine], list[tuple[SaleLine, Decimal]]]:
    """The lines as they stand now: those credited in whole, and those cut with by how much."""
    if lines and amounts:
        raise Refused(
            "A credit note takes back whole lines, or money off lines; not both. Write one for each.", field="lines"
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
    there = {rate.key: rate for rate in tax.mirrored(rest).rates}

    def fitted(rate: tax.RateTotal) -> tax.RateTotal:
        last = there.get(rate.key, rate)
        ends = rate.gross == last.gross if with_tax else rate.taxable == last.taxable
        return last if ends else rate

    rates = tuple(fitted(rate) for rate in total.rates)
    net, due = (sum((getattr(rate, name) for rate in rates), ZERO) for name in ("taxable", "tax"))
    return replace(total, rates=rates, net=net, tax=due, gross=net + due)


def _hold(rows: Sequence[SaleLine]) -> None:
    """Their pieces, locked in one order."""
    skins = [row.job.skin_id for row in rows if row.job is not None]
    pieces = Q(pk__in=[row.article_id for row in rows if row.article_id]) | Q(parts__skin__in=skins)
    list(Article.objects.select_for_update().filter(pk__in=Article.objects.filter(pieces).values("pk")).order_by("pk"))


def _mirror(row: SaleLine, sale: Sale, left: Decimal) -> tax.Line:
    """What is left of a line, taken back: money that a credit took off its price stands with the discount."""
    line = invoices_read.line(row, sale)
    off = tax.line_amount(line, workshop_read.places()) - left
    return tax.mirrored_lines([replace(line, discount=line.discount + off)])[0]


def _cut(row: SaleLine, amount: Decimal, sale: Sale, left: Decimal) -> tax.Line:
    checks.positive(coins(amount, "The amount", field="amount"), "The amount", field="amount")
    if amount > left:
        raise CreditTooLarge(sale.number, amount, left, f"“{row.words}”")
    line = invoices_read.line(row, sale)
    return replace(line, what=invoices_read.cut_words(row), quantity=Decimal(-1), unit_price=amount, discount=ZERO)


def _refuse_incomplete(sale: Sale, on: date, reason: str, total: tax.Summary, lines: Sequence[tax.Line]) -> None:
    terms = terms_read.terms()
    invoices.refuse_incomplete(
        invoices.Paper(
            kind=invoices.Kind.CREDIT if sale.kind == Sale.Kind.INVOICE else invoices.Kind.SIMPLIFIED,
            number="to be given",
            issued_on=on,
            supplied_on=sale.on,
            seller=invoices_read.party(sale.seller),
            buyer=invoices_read.party(sale.buyer),
            lines=tuple(lines),
            summary=total,
            corrects=sale.number,
            corrects_on=sale.issued_on,
            reason=reason,
            note=terms.untaxed_words,
        ),
        total.mode,
        invoices.Law(terms.law),
    )


def _issue(sale: Sale, on: date, reason: str, total: tax.Summary, writer: User | None) -> Sale:
    sequence, number = numbering.take(Series.Kind.CREDIT)
    return Sale.objects.create(
        kind=Sale.Kind.CREDIT,
        sequence=sequence,
        number=number,
        on=on,
        issued_on=on,
        customer=sale.customer,
        channel=sale.channel,
        fair=sale.fair,
        credits=sale,
        reason=reason,
        currency=sale.currency,
        seller=sale.seller,
        buyer=sale.buyer,
        taxed=sale.taxed,
        prices_with_tax=sale.prices_with_tax,
        net=total.net,
        tax=total.tax or ZERO,
        gross=total.gross,
        written_by=writer,
    )


def _write_line(
    paper: Sale, position: int, row: SaleLine, line: tax.Line, amount: sales.Amounts, *, back: bool
) -> None:
    """A whole line brings its cost back; a price cut leaves it with the piece that stays sold."""
    SaleLine.objects.create(
        sale=paper,
        position=position,
        kind=row.kind,
        article=row.article,
        job=row.job,
        skin=row.skin,
        words=line.what,
        quantity=line.quantity,
        asked=line.unit_price,
        discount=line.discount,
        tax_percent=line.rate or ZERO,
        relief=line.relief,
        net=amount.net,
        tax=amount.tax,
        gross=amount.gross,
        book=-row.book if back else ZERO,
        full=-row.full if back else ZERO,
        own_minutes=-row.own_minutes if back else ZERO,
        standing=False,
    )


def _bring_back(row: SaleLine, paper: Sale, on: date, back_to: Place | None, writer: User | None) -> None:
    row.standing = False
    row.save(update_fields=["standing"])
    if row.article is not None:
        moves.come_back(article=row.article, on=on, to=back_to, note=paper.number, writer=writer)
    if row.job is not None:
        row.job.handed_over_on = None
        row.job.save(update_fields=["handed_over_on"])
        for article in row.job.skin.parts.select_related("article"):
            if article.article.gone_on is not None:
                moves.come_back(article=article.article, on=on, to=back_to, note=paper.number, writer=writer)
