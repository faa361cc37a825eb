"""The statement of account as a table, for other programs."""

from dataclasses import asdict

from costing.sell.customers.models import Customer
from costing.sell.debts.statements.rules import Statement
from inventory.base import selectors as workshop
from inventory.money import ZERO
from inventory.report import Column, Kind, Report, Table

COLUMNS = (
    Column("on", "Date", Kind.DAY),
    Column("paper", "Number"),
    Column("what", "What"),
    Column("charged", "Charged", Kind.MONEY),
    Column("settled", "Settled", Kind.MONEY),
    Column("balance", "Balance", Kind.MONEY),
)


def of(customer: Customer, found: Statement) -> Report:
    """Opening balance, the entries, closing balance; each row with the balance after it."""

    def edge(on: object, what: str, balance: object) -> dict[str, object]:
        return {"on": on, "paper": "", "what": what, "charged": ZERO, "settled": ZERO, "balance": balance}

    rows = (
        edge(found.first, "Opening balance", found.opening),
        *(asdict(row) for row in found.rows),
        edge(found.last, "Closing balance", found.closing),
    )
    table = Table("account", f"Statement of account, {customer.name}", COLUMNS, rows)
    period = f"{found.first} to {found.last}"
    return Report(table.title, period, workshop.current().currency, workshop.places(), (table,))
