"""The lists of costs and of hours that no skin bears, and what costs were called."""

from django.db.models import QuerySet

from costing.sell.expenses.models import Expense, SideHours


def expenses() -> QuerySet[Expense]:
    return Expense.objects.select_related("sale", "fair", "reversed_by")


def hours() -> QuerySet[SideHours]:
    return SideHours.objects.select_related("reversed_by")


def spent_words() -> list[str]:
    """What costs were called before."""
    rows = Expense.objects.exclude(words="").order_by("words").values_list("words", flat=True)
    return list(rows.distinct()[:60])
