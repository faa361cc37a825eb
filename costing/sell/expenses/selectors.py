"""The lists of costs and of hours that no skin bears."""

from django.db.models import OuterRef, QuerySet, Subquery

from costing.sell.expenses.models import Expense, SideHours
from costing.sell.headings.models import CostKind


def expenses() -> QuerySet[Expense]:
    """With the name of a kind of the maker's own (`kind_name`)."""
    own = CostKind.objects.filter(code=OuterRef("kind")).values("name")[:1]
    return Expense.objects.select_related("sale", "fair", "reversed_by").annotate(kind_name=Subquery(own))


def hours() -> QuerySet[SideHours]:
    return SideHours.objects.select_related("reversed_by")
