"""How a year is placed: over, running or ahead, whether anything is entered in it, which years beside it have entries.

And how its turnover stands against the limit of the terms.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Aggregate, Max, Min, Model, Q, QuerySet, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import ExtractYear

from costing.make.labour.models import LabourLine
from costing.report.year.turnover import rules as turnover
from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.expenses.models import Expense, SideHours
from costing.sell.fairs.models import Fair
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale
from costing.sell.sales.terms import selectors as terms_read
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, Monthly, Skin

FIRST, LAST = date.min.year + 1, date.max.year  # the first calendar year has no eve on which stock could be counted
MONTHS = 12

_DAYS: tuple[tuple[type[Model], str], ...] = (
    (Skin, "date_in"),
    (LabourLine, "on"),
    (Article, "finished_on"),
    (Sale, "on"),
    (Payment, "on"),
    (WriteOff, "on"),
    (Expense, "on"),
    (Fair, "on"),
    (SideHours, "on"),
)


@dataclass(frozen=True)
class YearState:
    """How a year stands: `running` has begun and has days after today, `ahead` has not begun, neither is over.

    `written` tells whether anything is entered in it, `stocked` whether anything is entered up to its end, so that there
    may be stock. `before` and `after` are the nearest years worth looking at, None where there is none.
    """

    running: bool
    ahead: bool
    written: bool
    stocked: bool
    before: int | None
    after: int | None


def checked(number: int) -> int:
    """A year of which results can be told. Raises Refused for others."""
    if not FIRST <= number <= LAST:
        raise Refused(f"{number} is not a year that has results. Write it with four figures, as 2025.", field="year")
    return number


def number_of(text: str) -> int:
    """A year as a command line or a link names it."""
    if not (text.isascii() and text.isdecimal() and len(text) == len("2025")):
        raise Refused(f"'{text}' is not a year. Write it with four figures, as 2025.", field="year")
    return checked(int(text))


def days(number: int) -> tuple[date, date]:
    return date(number, 1, 1), date(number, 12, 31)


def until(number: int) -> date:
    """The last day of a year that is looked at: today of one that still runs."""
    first, last = days(number)
    return min(last, max(workshop.today(), first))


def ends() -> tuple[int, int] | None:
    """The years of the first and of the last entry; None before there is any."""
    return _entries(workshop.today().year)[0]


def _entries(number: int) -> tuple[tuple[int, int] | None, bool]:
    """The years of the first and of the last entry, and whether there is any in a year: one query, whatever is there."""
    within = (date(number, 1, 1), date(number, 12, 31))
    each = [_told(model._default_manager.all(), field, within, ExtractYear) for model, field in _DAYS]
    months = (number * MONTHS, number * MONTHS + MONTHS - 1)
    rows = list(_told(Monthly.objects.all(), "month", months, _year_of).union(*each, all=True))
    years = [int(year) for row in rows for year in row if year is not None]
    return (min(years), max(years)) if years else None, any(row[-1] is not None for row in rows)


def _year_of(month: Aggregate) -> Combinable:
    """The year of a month that is told by its number."""
    return month / Value(MONTHS)


def _told(
    rows: QuerySet[Any], field: str, within: tuple[Any, Any], year: Callable[[Aggregate], Any]
) -> QuerySet[Any, tuple[Any, ...]]:
    """The years of the first, the last, and of one within bounds, as one row that can be put beside those of other tables."""
    inside = year(Max(field, filter=Q(**{f"{field}__range": within})))
    one: QuerySet[Any] = rows.order_by().annotate(all_of_it=Value(1)).values("all_of_it")
    told: QuerySet[Any, tuple[Any, ...]]
    told = one.annotate(first=year(Min(field)), last=year(Max(field)), inside=inside).values_list(
        "first", "last", "inside"
    )
    return told


def state(number: int) -> YearState:
    today, (known, written) = workshop.today(), _entries(number)
    low, high = known or (today.year, today.year)
    high = max(high, today.year)
    return YearState(
        running=date(number, 1, 1) <= today < date(number, 12, 31),
        ahead=number > today.year,
        written=written,
        stocked=known is not None and known[0] <= number,
        before=min(number - 1, high) if number > low else None,
        after=max(number + 1, low) if number < high else None,
    )


def against_limit(on: date) -> turnover.Standing | None:
    """How turnover of the year, or of twelve months running, stands at the end of a day; None without a limit."""
    terms = terms_read.terms()
    if terms.turnover_limit is None:
        return None
    span = turnover.Span.TWELVE_MONTHS if terms.rolling else turnover.Span.CALENDAR_YEAR
    # Each day of the span looks back over a span of its own.
    first = turnover.first_day(span, turnover.first_day(span, on))
    sales = Sale.objects.filter(on__range=(first, on)).exclude(kind=Sale.Kind.OPENING)
    rows = sales.order_by("on").values_list("on").annotate(Sum("net"))
    return turnover.standing(list(rows), on, terms.turnover_limit, span)
