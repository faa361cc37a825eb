"""The lists of costs and of hours that no skin bears."""

from django.db.models import OuterRef, QuerySet, Subquery

from costing.sell.expenses.models import Expense, SideHours
from costing.sell.headings.models import CostKind
from inventory import formats
from inventory.base import selectors as workshop


def expenses() -> QuerySet[Expense]:
    """With the name of a kind of the maker's own (`kind_name`)."""
    own = CostKind.objects.filter(code=OuterRef("kind")).values("name")[:1]
    return Expense.objects.select_related("sale", "fair", "reversed_by").annotate(kind_name=Subquery(own))


def in_words(row: Expense) -> str:
    words = f", {row.words}" if row.words else ""
    return f"{row.get_kind_display()}{words}: {workshop.shown(row.paid)} on {formats.day(row.on)}"


def hours() -> QuerySet[SideHours]:
    return SideHours.objects.select_related("reversed_by")
