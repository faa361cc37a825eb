"""Issuing a paper, as every sale and every credit does: judged whole, numbered without a gap, frozen with its lines.

A paper and its lines come unsaved, with all that they say but number and amounts. Knows neither what may be sold nor what may
be credited.
"""

from collections.abc import Sequence

from costing.sell.sales.invoices import rules as invoices, selectors as invoices_read
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.tax import lines as tax_lines, rules as tax
from costing.sell.sales.terms.models import Terms
from inventory.base import selectors as workshop
from inventory.money import ZERO


def said(paper: Sale, lines: Sequence[SaleLine]) -> list[tax.PaperLine]:
    return [invoices_read.line(line, paper) for line in lines]


def totals(paper: Sale, lines: Sequence[SaleLine]) -> tax.Summary:
    return tax.summary(said(paper, lines), tax.mode(paper.taxed), workshop.places(), paper.rounding)


def refuse_incomplete(paper: Sale, lines: Sequence[SaleLine], total: tax.Summary, terms: Terms) -> None:
    """An invoice and its credit must say all that their law asks; of a sale over the counter both are short papers."""
    of = paper.credits
    kind = invoices.Kind.SIMPLIFIED
    if (of or paper).kind == Sale.Kind.INVOICE:
        kind = invoices.Kind.CREDIT if of else invoices.Kind.INVOICE
    invoices.refuse_incomplete(
        invoices.Paper(
            kind=kind,
            number="to be given",
            issued_on=paper.issued_on,
            supplied_on=(of or paper).on,
            seller=invoices_read.party(paper.seller),
            buyer=invoices_read.party(paper.buyer),
            lines=tuple(said(paper, lines)),
            summary=total,
            corrects=of.number if of else "",
            corrects_on=of.issued_on if of else None,
            reason=paper.reason,
            note=terms.untaxed_words,
        ),
        total.mode,
        invoices.Law(terms.law),
    )


def issue(paper: Sale, lines: Sequence[SaleLine], total: tax.Summary) -> Sale:
    """Write it under the next number of its series.

    Whoever calls holds what it sells or takes back already: materials and things are locked before the series everywhere,
    so that nobody waits in a ring.
    """
    paper.sequence, paper.number = numbering.take(paper.kind)
    paper.net, paper.tax, paper.gross = total.net, total.tax or ZERO, total.gross
    paper.save(force_insert=True)
    amounts = tax_lines.lines_taxed(said(paper, lines), total, workshop.places())
    for position, (line, amount) in enumerate(zip(lines, amounts, strict=True), start=1):
        line.sale, line.position = paper, position
        line.net, line.tax, line.gross = amount.net, amount.vat, amount.gross
    SaleLine.objects.bulk_create(lines)
    return paper
