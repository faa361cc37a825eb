"""All that a year has to tell, read once: results, tables by species, method, channel, fair and piece, hours, the limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from costing import fairs as fair_rules
from costing import results as rules
from costing import turnover
from costing.book_errors import NeverBreaksEven, NothingTaken
from costing.models import Fair, Sale
from costing.selectors import given, limit, results, takings, waiting, years
from costing.selectors.takings import SoldLine
from inventory.selectors import workshop


@dataclass(frozen=True)
class FairRow:
    """`break_even`: the takings that would have paid for the day; None where nothing was taken or no takings would do."""

    fair: Fair
    day: fair_rules.FairDay
    result: fair_rules.FairResult
    break_even: Decimal | None


@dataclass(frozen=True)
class LookBack:
    standing: years.Standing
    year: results.Year
    lines: Sequence[SoldLine]
    fairs: Sequence[FairRow]
    given: Sequence[given.Given]
    hands: waiting.Hands
    limit: turnover.Standing | None
    places: int

    def by(self, group: str, lines: Sequence[SoldLine] | None = None) -> dict[str, rules.PieceResult]:
        """By `species`, `method`, `channel`, `fair` or `piece`, of all lines or of some, the best paid hour first."""
        rows = self.lines if lines is None else lines
        return rules.grouped((row.sold for row in rows), results.GROUPS[group], self.places)

    def together(self, lines: Sequence[SoldLine] | None = None) -> rules.PieceResult:
        return rules.of_sales((row.sold for row in (self.lines if lines is None else lines)), self.places)


def at(number: int) -> LookBack:
    """Of a calendar year; of one that still runs, up to today. Raises Refused for a year off the calendar."""
    standing = years.standing(years.checked(number))
    year = results.year(number)
    last = min(year.last, max(workshop.today(), year.first))
    return LookBack(
        standing=standing,
        year=year,
        lines=takings.lines(Sale.objects.filter(on__range=(year.first, year.last))),
        fairs=[_fair(fair, day) for fair, day in results.fair_days(_fairs(year))],
        given=given.given(year.first, year.last),
        # Nobody has waited yet for a year that has not begun.
        hands=waiting.Hands([], []) if standing.ahead else waiting.hands(year.first, last),
        limit=limit.standing(last),
        places=workshop.places(),
    )


def _fairs(year: results.Year) -> QuerySet[Fair]:
    return Fair.objects.filter(on__range=(year.first, year.last))


def _fair(fair: Fair, day: fair_rules.FairDay) -> FairRow:
    places = workshop.places()
    try:
        even: Decimal | None = fair_rules.break_even_of(day, places)
    except (NeverBreaksEven, NothingTaken):
        even = None
    return FairRow(fair, day, fair_rules.result(day, places), even)
