"""The report of what a year disposed of without a sale: own use, gifts, what spoiled or got lost."""

from datetime import date

from costing.report.disposals import selectors as disposals
from costing.report.disposals.selectors import Unsold
from inventory import formats
from inventory.base import selectors as workshop
from inventory.models import Move
from inventory.report import Cells, Column, Form, Kind, Link, Report, Table

TITLES = {
    Move.Why.OWN_USE.value: "Own use",
    Move.Why.GIVEN.value: "Given away",
    Move.Why.SPOILED.value: "Spoiled",
    Move.Why.MISSING.value: "Lost or stolen",
}
COLUMNS = (
    Column("on", "Date"),
    Column("what", "What"),
    Column("reason", "Why", far=True),
    Column("value", "Book cost", Kind.MONEY),
)


def year(number: int) -> Report:
    """A table for each of the four, also where there was none."""
    rows = disposals.unsold(date(number, 1, 1), date(number, 12, 31))
    tables = [
        Table(
            why,
            title,
            COLUMNS,
            tuple(_row(row) for row in rows if row.why == why),
            summed=("value",),
            empty=f"None in {number}.",
            forms=Form.PAGE,
        )
        for why, title in TITLES.items()
    ]
    title = f"Own use, gifts, spoiled and lost {number}"
    return Report(title, str(number), workshop.current().currency, workshop.places(), tuple(tables))


def _row(row: Unsold) -> Cells:
    on = formats.day(row.on)
    entered = Link(on, "posting", row.posting) if row.posting else on
    return {"on": entered, "what": row.what, "reason": row.reason, "value": row.value}
