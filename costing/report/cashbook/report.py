"""The cash book of a year as a report: a table of months for each account, and every entry."""

from datetime import date, timedelta

from costing.report.cashbook import rules, selectors as cashbook
from costing.report.cashbook.rules import Entry, Opening, Period
from costing.report.year import selectors as years
from inventory import formats
from inventory.base import selectors as workshop
from inventory.base.models import How
from inventory.report import Cells, Column, Form, Kind, Report, Section, Table

ACCOUNTS = {How.CASH: "Cash", How.BANK: "Bank", How.CARD: "Card", How.OTHER: "Other", "": "Not said"}
UNSAID = "Nobody said how these were paid, so they are in no account. Say it when you enter a payment, a cost or goods."
MONTHS = (
    Column("account", "Account", forms=Form.DATA),
    Column("month", "Month", share=1.4),
    Column("opening", "Opening", Kind.MONEY),
    Column("in", "In", Kind.MONEY),
    Column("out", "Out", Kind.MONEY),
    Column("closing", "Closing", Kind.MONEY),
)
ENTRIES = (
    Column("on", "Day", Kind.DAY),
    Column("account", "Account"),
    Column("what", "What", share=3),
    Column("in", "In", Kind.MONEY),
    Column("out", "Out", Kind.MONEY),
)
_ADDS_UP = (("opening", "in", "-out", "closing"),)


def at(number: int) -> Report:
    """Of a calendar year; of one that still runs, up to this month, or the last that anything is entered in. Raises Refused for a
    year off the calendar.
    """
    years.checked(number)
    first = date(number, 1, 1)
    within = cashbook.entries((first, date(number, 12, 31)))
    brought = cashbook.balances(first - timedelta(days=1))
    today = workshop.today()
    last = rules.MONTHS if today.year != number else max([today.month, *(row.on.month for row in within)])
    tables: list[Section] = []
    periods: list[Period] = []
    for account, title in ACCOUNTS.items():
        if account not in brought:
            continue
        mine = [row for row in within if row.account == account]
        found = rules.months(account, mine, Opening(first, brought[account]), number)[:last]
        periods += found
        shown = [row for at, row in enumerate(found) if at in (0, len(found) - 1) or row.money_in or row.money_out]
        tables.append(_months(f"account_{account or 'unsaid'}", title, shown, Form.READ, "" if account else UNSAID))
    return Report(
        title=f"Cash book {number}",
        period=str(number),
        currency=workshop.current().currency,
        places=workshop.places(),
        sections=(*tables, _months("months", "Months", periods, Form.DATA), _entries(within)),
        facts={"year": str(number), "currency": workshop.current().currency},
    )


def _months(name: str, title: str, found: list[Period], forms: Form, note: str = "") -> Table:
    return Table(
        name,
        title,
        MONTHS,
        tuple(_month(row, read=forms is Form.READ) for row in found),
        note=note,
        aside="opening + in − out = closing" if forms is Form.READ else "",
        forms=forms,
        adds_up=_ADDS_UP,
        named_by=("account", "month"),
    )


def _month(row: Period, *, read: bool) -> Cells:
    return {
        "account": ACCOUNTS[row.account],
        "month": formats.MONTHS[row.first.month - 1][:3] if read else f"{row.first:%Y-%m}",
        "opening": row.opening,
        "in": row.money_in,
        "out": row.money_out,
        "closing": row.closing,
    }


def _entries(found: list[Entry]) -> Table:
    rows: tuple[Cells, ...] = tuple(
        {
            "on": row.on,
            "account": ACCOUNTS[row.account],
            "what": row.what,
            "in": row.amount if row.amount > 0 else None,
            "out": -row.amount if row.amount < 0 else None,
        }
        for row in found
    )
    return Table("entries", "Entries", ENTRIES, rows, summed=("in", "out"), empty="No money moved in this year.")
