"""What was frozen, worked out again from what stands beside it: the lines of papers, and that a finished skin became something."""

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction

from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.tax.lines import lines_taxed
from inventory.base import selectors as workshop
from inventory.base.selectors import coins
from inventory.errors import Refused
from inventory.models import ArticleSkin, Skin


def findings() -> Iterator[str]:
    """Every frozen figure that its own line does not bear out; nothing when the books are clean."""
    for paper in Sale.objects.prefetch_related("lines__of_line").order_by("pk"):
        rows = sorted(paper.lines.all(), key=lambda row: row.position)
        try:
            yield from _credited(paper, rows) if paper.kind == Sale.Kind.CREDIT else _billed(paper, rows)
        except Refused as problem:
            yield f"{paper.number} could not have been written as it stands: {problem}"
    yield from _finished()


def _billed(paper: Sale, rows: list[SaleLine]) -> Iterator[str]:
    """Quantity, price, discount and rate say what a line comes to and what tax is in it."""
    said, places = [invoices.line(row, paper) for row in rows], workshop.places()
    total = tax.summary(said, tax.mode(paper.taxed), places, paper.rounding)
    for row, due in zip(rows, lines_taxed(said, total, places), strict=True):
        if (row.net, row.tax, row.gross) != (due.net, due.vat, due.gross):
            stands = f"{coins(row.net)} and {coins(row.tax)} tax"
            yield f"{paper.number}, “{row.words}”: {stands}; price, discount and rate say {coins(due.net)} and {coins(due.vat)}."


def _credited(paper: Sale, rows: list[SaleLine]) -> Iterator[str]:
    """The last credit of a rate takes the coin that rounding moved, so its tax is not worked out again: its price and rate are."""
    for row in rows:
        due = tax.line_amount(invoices.line(row, paper), workshop.places())
        stands = row.gross if paper.prices_with_tax else row.net
        if stands != due:
            yield f"{paper.number}, “{row.words}”: {coins(stands)}; price and discount say {coins(due)}."
        if row.of_line is not None and row.tax_percent != row.of_line.tax_percent:
            yield f"{paper.number}, “{row.words}” is credited at another rate than it was sold at."


def _finished() -> Iterator[str]:
    shares: dict[int, Fraction] = defaultdict(Fraction)
    for skin, part, whole in ArticleSkin.objects.values_list("skin", "share_of", "share_in"):
        shares[skin] += Fraction(part, whole)
    for pk, tag in Skin.objects.filter(stage=Skin.Stage.FINISHED).order_by("pk").values_list("pk", "tag"):
        if shares[pk] != 1:
            yield f"Skin {tag} is marked finished; {shares[pk] or 'nothing'} of it became a piece."
