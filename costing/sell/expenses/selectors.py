"""The lists of costs and of hours that no skin bears."""

from django.db.models import QuerySet

from costing.sell.expenses.models import Expense, SideHours


def expenses() -> QuerySet[Expense]:
    return Expense.objects.select_related("sale", "fair", "reversed_by")


def hours() -> QuerySet[SideHours]:
    return SideHours.objects.select_related("reversed_by")
