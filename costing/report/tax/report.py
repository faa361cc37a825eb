"""The tax report of a period as tables: sales by rate and reason, credits, exempt sales, places, purchases, and what is due.

Nothing is worked out here but sums of what papers and bills say.
"""

from collections.abc import Iterable
from decimal import Decimal

from costing.report.tax import selectors as taxes
from costing.report.tax.rules import Span
from costing.report.tax.selectors import Told
from costing.sell.sales.tax.rules import RateTotal, added
from inventory import formats
from inventory.base import selectors as workshop
from inventory.formats import HARD_SPACE
from inventory.money import ZERO
from inventory.report import Cells, Column, Figures, Form, Kind, Link, Report, Table

AMOUNTS = (
    Column("net", "Without tax", Kind.MONEY, share=1.3),
    Column("tax", "Tax", Kind.MONEY, share=1.1),
    Column("gross", "With tax", Kind.MONEY, share=1.3, far=True),
)
RATE = (Column("at", "Rate", forms=Form.READ, share=0.8), Column("rate", "Rate, %", Kind.EXACT, Form.DATA))
RATED = (*RATE, Column("reason", "Reason", share=2.4, blank="–"), *AMOUNTS)
PAPERS = (
    Column("number", "Paper", share=1.2),
    Column("on", "Day", Kind.DAY, share=1.3, far=True),
    Column("customer", "Customer", share=2.2, blank="over the counter"),
    Column("tax_number", "Tax number", share=1.6, far=True, blank="–"),
    Column("reason", "Reason", share=2.4, blank="no reason said"),
    *AMOUNTS[:1],
)
CREDITS = (*PAPERS[:3], Column("of", "Credits", share=1.2, far=True), *AMOUNTS)
PLACES = (Column("place", "Sold", share=2.2, blank="no channel"), *RATED)
BILLS = (
    Column("on", "Day", Kind.DAY, share=1.3),
    Column("what", "What", share=1, far=True),
    Column("whom", "Of whom, for what", share=2.4, blank="–"),
    Column("paper", "Paper", share=1.3, far=True, blank="–"),
    *RATE,
    *AMOUNTS,
)
DUE = (
    Column("collected", "Tax on sales", Kind.MONEY),
    Column("deductible", "Deducted", Kind.MONEY),
    Column("due", "Due", Kind.MONEY),
)
ADDS_UP = (("net", "tax", "gross"),)
SUMMED = ("net", "tax", "gross")


def of(span: Span) -> Report:
    """Of a period, both days counted. A due sum below zero comes back to the maker."""
    told, deposits, bought = taxes.sold(span), taxes.deposits(span), taxes.bought(span)
    if not (workshop.current().deducts_tax or any(row.tax for row in bought)):
        bought = []
    sales, purchases = [*added(row.total for row in told), *deposits], taxes.by_rate(bought)
    collected = sum((row.tax for row in sales), ZERO)
    deductible = sum((row.tax for row in purchases), ZERO)
    currency = workshop.current().currency
    due = {"collected": collected, "deductible": deductible, "due": collected - deductible}
    return Report(
        title="Tax report",
        period=f"{span.first}..{span.last}",
        currency=currency,
        places=workshop.places(),
        heading=(("Period", f"{formats.day(span.first)} to {formats.day(span.last)}"),),
        facts={"from": f"{span.first}", "to": f"{span.last}", "currency": currency},
        sections=(
            Table("due", "What is due", DUE, (due,), forms=Form.READ | Form.FILES),
            _rated("sales", "Sales by rate", sales, "Nothing was sold or credited in this time."),
            _rated("purchases", "Purchases by rate", purchases, "No tax on purchases is deducted."),
            Figures("", "", DUE, due, Form.JSON),
            _credits(told),
            _exempt(told),
            _places(told),
            _bills(bought),
        ),
    )


def _rated(name: str, title: str, totals: Iterable[RateTotal], empty: str) -> Table:
    rows = tuple(_row(total) for total in totals)
    return Table(name, title, RATED, rows, summed=SUMMED, empty=empty, adds_up=ADDS_UP, named_by=("rate", "reason"))


def _percent(rate: Decimal) -> str:
    return f"{rate:f}{HARD_SPACE}%"


def _row(total: RateTotal) -> Cells:
    at = _percent(total.rate)
    amounts = {"net": total.taxable, "tax": total.tax, "gross": total.gross}
    return {"at": at, "rate": total.rate, "reason": total.relief, **amounts}


def _paper(row: Told) -> Cells:
    return {
        "on": row.paper.on,
        "number": Link(row.paper.number, "sale", row.paper.number),
        "customer": row.paper.customer.name if row.paper.customer else "",
        "tax_number": row.paper.buyer.get("tax_number", ""),
        "of": row.paper.credits.number if row.paper.credits else "",
        **_row(row.total),
    }


def _credits(told: Iterable[Told]) -> Table:
    rows = tuple(_paper(row) for row in told if row.credit)
    empty = "No credit note was written in this time."
    title = "Credits, taken off the sales above"
    return Table(
        "credits",
        title,
        CREDITS,
        rows,
        summed=SUMMED,
        empty=empty,
        adds_up=ADDS_UP,
        named_by=("number",),
        kept="Credits",
    )


def _exempt(told: Iterable[Told]) -> Table:
    """What bore no tax although the seller is registered: to whom, and why."""
    rows = tuple(_paper(row) for row in told if row.paper.taxed and not row.total.rate)
    return Table(
        "exempt", "Sales without tax", PAPERS, rows, summed=("net",), empty="Every sale of this time bore tax."
    )


def _places(told: Iterable[Told]) -> Table:
    """By fair or channel, in the order of their names."""
    names = sorted({row.place for row in told})
    rows = tuple(
        {"place": name, **_row(total)}
        for name in names
        for total in added(row.total for row in told if row.place == name)
    )
    return Table("places", "Where it was sold", PLACES, rows, summed=SUMMED, empty="Nothing was sold in this time.")


def _bills(bought: Iterable[taxes.Purchase]) -> Table:
    rows: tuple[Cells, ...] = tuple(
        {
            "on": row.on,
            "what": row.what,
            "whom": row.whom,
            "paper": row.paper,
            "at": _percent(row.rate) if row.rate else "–",
            "rate": row.rate or ZERO,
            "net": row.net,
            "tax": row.tax,
            "gross": row.gross,
        }
        for row in bought
    )
    return Table("bills", "What was bought", BILLS, rows, summed=SUMMED, empty="No tax on purchases is deducted.")
