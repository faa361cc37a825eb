"""By which method stock was valued when, and when the books were closed and opened."""

from datetime import date

from django.db.models import QuerySet

from inventory import formats
from inventory.base import selectors as workshop
from inventory.base.accounting.models import Closing, CostFlowChange
from inventory.base.models import CostFlow
from inventory.ledger import selectors as ledger


def changes() -> list[CostFlowChange]:
    """Every change of the method, in the order they were made, which is that of their days."""
    return list(CostFlowChange.objects.order_by("pk"))


def first_cost_flow() -> str:
    """The method of the very first entries."""
    first = CostFlowChange.objects.order_by("pk").first()
    return first.was if first else workshop.current().cost_flow


def method_words(on: date) -> str:
    """The method of a day for people, with the last change of it before that day."""
    known = [change for change in changes() if change.since <= on]
    if not known:
        return CostFlow(first_cost_flow()).label.lower()
    last = known[-1]
    before = last.get_was_display().lower()
    return f"{last.get_cost_flow_display().lower()}, since {formats.day(last.since)}; {before} before"


def asked_of_cost_flow(cost_flow: str) -> str | None:
    """What to ask before the method is changed; None where it stays, or where nothing was valued yet."""
    row = workshop.current()
    if cost_flow == row.cost_flow or not ledger.any_posting():
        return None
    today = workshop.today()
    spread = " What is on the shelves is spread over its deliveries by quantity." if cost_flow == CostFlow.FIFO else ""
    return (
        f"From {formats.day(today, full=True)} stock is valued by {CostFlow(cost_flow).label.lower()} instead of "
        f"{row.get_cost_flow_display().lower()}.{spread} What left the shelf before keeps its cost, and the stock its value. "
        "A method is kept from year to year: tell your accountant, and the reason."
    )


def closings() -> QuerySet[Closing]:
    """Each time the books were closed or opened, the latest first."""
    return Closing.objects.order_by("-pk")
