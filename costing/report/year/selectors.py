"""How a year is placed: over, running or ahead, whether anything is entered in it, which years beside it have entries.

And how its turnover stands against the limit of the terms.
"""

from dataclasses import dataclass
from datetime import date

from django.db.models import Max, Min, Model, Sum

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
from inventory.models import Article, Movement, Skin

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


def ends() -> tuple[int, int] | None:
    """The years of the first and of the last entry; None before there is any. Movements are read by their month's index."""
    found: list[date] = []
    for model, field in _DAYS:
        row = model._default_manager.aggregate(first=Min(field), last=Max(field))
        found += [day for day in row.values() if day is not None]
    months = Movement.objects.aggregate(first=Min("month"), last=Max("month"))
    years = [day.year for day in found] + [month // MONTHS for month in months.values() if month is not None]
    return (min(years), max(years)) if years else None


def state(number: int) -> YearState:
    today, known = workshop.today(), ends()
    low, high = known or (today.year, today.year)
    high = max(high, today.year)
    return YearState(
        running=date(number, 1, 1) <= today < date(number, 12, 31),
        ahead=number > today.year,
        written=_written(number),
        stocked=known is not None and known[0] <= number,
        before=min(number - 1, high) if number > low else None,
        after=max(number + 1, low) if number < high else None,
    )


def _written(number: int) -> bool:
    """Asked of every kind of entry, found or not, so that a page takes as many queries whatever is there."""
    first, last = date(number, 1, 1), date(number, 12, 31)
    found = [model._default_manager.filter(**{f"{field}__range": (first, last)}).exists() for model, field in _DAYS]
    months = (number * MONTHS, number * MONTHS + MONTHS - 1)
    return any([*found, Movement.objects.filter(month__range=months).exists()])


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
