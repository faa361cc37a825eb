"""Turnover against the limit that the maker has set in the terms."""

from datetime import date

from django.db.models import Sum

from costing.report.year.turnover import rules as turnover
from costing.sell.sales.models import Sale
from costing.sell.sales.terms import selectors as terms_read


def standing(on: date) -> turnover.Standing | None:
    """How turnover of the year, or of twelve months running, stands at the end of a day; None without a limit."""
    terms = terms_read.terms()
    if terms.turnover_limit is None:
        return None
    span = turnover.Span.TWELVE_MONTHS if terms.rolling else turnover.Span.CALENDAR_YEAR
    # Each day of the span looks back over a span of its own.
    first = turnover.first_day(span, turnover.first_day(span, on))
    rows = Sale.objects.filter(on__range=(first, on)).order_by("on").values_list("on").annotate(Sum("net"))
    return turnover.standing(list(rows), on, terms.turnover_limit, span)
