"""The list of hours that no skin bears."""

from django.db.models import QuerySet

from costing.sell.expenses.hours.models import SideHours


def hours() -> QuerySet[SideHours]:
    return SideHours.objects.select_related("reversed_by")
