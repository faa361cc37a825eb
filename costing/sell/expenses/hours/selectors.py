"""Lists of money in, of costs, and of hours beside the making, with what they come to; who owes, whose deposits are held."""

from __future__ import annotations

from django.db.models import QuerySet

from costing.sell.expenses.hours.models import SideHours


def hours() -> QuerySet[SideHours]:
    return SideHours.objects.select_related("reversed_by")
