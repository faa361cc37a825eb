"""Lists of money in, of costs, and of hours beside the making, with what they come to; who owes, whose deposits are held."""

from __future__ import annotations

from django.db.models import QuerySet

from costing.sell.expenses.models import Expense


def expenses() -> QuerySet[Expense]:
    return Expense.objects.select_related("sale", "fair", "reversed_by")


def spent_words() -> list[str]:
    """What costs were called before."""
    rows = Expense.objects.exclude(words="").order_by("words").values_list("words", flat=True)
    return list(rows.distinct()[:60])
