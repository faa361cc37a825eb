"""The check value as reports say it: where the chain of the books ended on the day they were made."""

from inventory import formats
from inventory.base import selectors as workshop
from inventory.base.chain import selectors as chain
from inventory.base.chain.rules import counted
from inventory.report import Column, Figures, Form, Kind

COLUMNS = (
    Column("check_value", "Check value"),
    Column("entries", "Entries", Kind.COUNT),
    Column("checked_on", "On", Kind.DAY),
)


def figures() -> Figures:
    """Its first sixteen signs, after how many entries, and the day; before the first entry there is none."""
    head = chain.head()
    value = head.value if head.position else None
    values = {"check_value": value, "entries": head.position, "checked_on": workshop.today()}
    return Figures("books", "The books", COLUMNS, values, Form.DATA | Form.PAGE)


def words(found: Figures) -> tuple[str, ...]:
    """What closes a paper; nothing before the first entry."""
    if found.values["check_value"] is None:
        return ()
    entries, day = counted(found.values["entries"]), formats.day(workshop.today(), full=True)
    return (
        f"Check value {found.values['check_value']} after {entries}, {day}. Keep it away from the program: as long as the "
        "books know it, nothing that stands before it was changed.",
    )
