"""All that a year has to tell, read once: results, tables by species, method, channel, fair and piece, hours, the limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Max, Min, Model, QuerySet

from costing.make.labour.models import LabourLine
from costing.report.disposals import selectors as disposals
from costing.report.year.profit import rules as profit
from costing.report.year.profit import selectors as profit_read
from costing.report.year.throughput import selectors as throughput
from costing.report.year.turnover import rules as turnover
from costing.report.year.turnover import selectors as turnover_read
from costing.sell.errors import NeverBreaksEven, NothingTaken
from costing.sell.expenses.hours.models import SideHours
from costing.sell.expenses.models import Expense
from costing.sell.fairs import rules as fairs_rules
from costing.sell.fairs import selectors as fairs_read
from costing.sell.fairs.models import Fair
from costing.sell.payments.models import Payment
from costing.sell.sales.lines import rules as sale_lines
from costing.sell.sales.lines import selectors as sale_lines_read
from costing.sell.sales.lines.selectors import SoldLine
from costing.sell.sales.models import Sale
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
    (Expense, "on"),
    (Fair, "on"),
    (SideHours, "on"),
)


@dataclass(frozen=True)
class Standing:
    """How a year stands: `running` has begun and has days after today, `ahead` has not begun, neither is over.

    `written` tells whether anything is entered in it, `stocked` whether anything is entered up to its end, so that there
    may be stock. `before` and `after` are the nearest years worth looking at, None where there is none.
    """

    number: int
    running: bool
    ahead: bool
    written: bool
    stocked: bool
    before: int | None
    after: int | None


def checked(number: int) -> int:
    """A year of which results can be told. Raises Refused for others."""
    if not FIRST <= number <= LAST:
        raise Refused(
            f"{number} is no year that results can be told of. Write it with four figures, as 2025.", field="year"
        )
    return number


def ends() -> tuple[int, int] | None:
    """The years of the first and of the last entry; None before there is any. Movements are read by their month's index."""
    found: list[date] = []
    for model, field in _DAYS:
        row = model._default_manager.aggregate(first=Min(field), last=Max(field))
        found += [day for day in row.values() if day is not None]
    months = Movement.objects.aggregate(first=Min("month"), last=Max("month"))
    years = [day.year for day in found] + [month // MONTHS for month in months.values() if month is not None]
    return (min(years), max(years)) if years else None


def standing(number: int) -> Standing:
    today, known = workshop.today(), ends()
    low, high = known or (today.year, today.year)
    high = max(high, today.year)
    return Standing(
        number=number,
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


@dataclass(frozen=True)
class FairRow:
    """`break_even`: the takings that would have paid for the day; None where nothing was taken or no takings would do."""

    fair: Fair
    day: fairs_rules.FairDay
    result: fairs_rules.FairResult
    break_even: Decimal | None


@dataclass(frozen=True)
class LookBack:
    standing: Standing
    year: profit_read.Year
    lines: Sequence[SoldLine]
    fairs: Sequence[FairRow]
    given: Sequence[disposals.Given]
    hands: throughput.Hands
    limit: turnover.Standing | None
    places: int

    def by(self, group: str, lines: Sequence[SoldLine] | None = None) -> dict[str, sale_lines.PieceResult]:
        """By `species`, `method`, `channel`, `fair` or `piece`, of all lines or of some, the best paid hour first."""
        rows = self.lines if lines is None else lines
        return profit.grouped((row.sold for row in rows), profit_read.GROUPS[group], self.places)

    def together(self, lines: Sequence[SoldLine] | None = None) -> sale_lines.PieceResult:
        return sale_lines.of_sales((row.sold for row in (self.lines if lines is None else lines)), self.places)


def at(number: int) -> LookBack:
    """Of a calendar year; of one that still runs, up to today. Raises Refused for a year off the calendar."""
    state = standing(checked(number))
    year = profit_read.year(number)
    last = min(year.last, max(workshop.today(), year.first))
    return LookBack(
        standing=state,
        year=year,
        lines=sale_lines_read.lines(Sale.objects.filter(on__range=(year.first, year.last))),
        fairs=[_fair(fair, day) for fair, day in fairs_read.fair_days(_fairs(year))],
        given=disposals.given(year.first, year.last),
        # Nobody has waited yet for a year that has not begun.
        hands=throughput.Hands([], []) if state.ahead else throughput.hands(year.first, last),
        limit=turnover_read.standing(last),
        places=workshop.places(),
    )


def _fairs(year: profit_read.Year) -> QuerySet[Fair]:
    return Fair.objects.filter(on__range=(year.first, year.last))


def _fair(fair: Fair, day: fairs_rules.FairDay) -> FairRow:
    places = workshop.places()
    try:
        even: Decimal | None = fairs_rules.break_even_of(day, places)
    except (NeverBreaksEven, NothingTaken):
        even = None
    return FairRow(fair, day, fairs_rules.result(day, places), even)
