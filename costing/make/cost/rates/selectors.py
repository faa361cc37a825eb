"""The rates by day, as rows and as the pure rules want them. Reads all rows at once: there are a few a year at most."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from costing.make.cost.rates import rules as rates
from costing.make.cost.rates.models import Rates
from inventory.base import selectors as workshop


@dataclass(frozen=True)
class Held:
    """Rates and the last day they held; None while no later ones are known. `replaced`: others of the same day hold."""

    row: Rates
    until: date | None
    replaced: bool


@dataclass(frozen=True)
class History:
    """All rows, the earliest day first, those of one day in the order they were written."""

    rows: tuple[Rates, ...]

    def at(self, day: date) -> Rates:
        """What holds on a day; zeros (not saved) where nobody has set any for it."""
        return next((row for row in reversed(self.rows) if row.since <= day), None) or Rates()

    def held(self) -> list[Held]:
        """Every row with its span, the latest first."""
        later = [*self.rows[1:], None][: len(self.rows)]
        return [_held(row, follow) for row, follow in zip(self.rows, later, strict=True)][::-1]

    def overheads(self, minutes: Iterable[tuple[date, Decimal]]) -> list[tuple[Decimal, Decimal]]:
        """Minutes by day as minutes by the overhead rate of their days, which may come twice."""
        found: dict[int | None, tuple[Decimal, Decimal]] = {}
        for day, count in minutes:
            row = self.at(day)
            rate, so_far = found.get(row.pk, (row.overhead_per_hour, Decimal(0)))
            found[row.pk] = (rate, so_far + count)
        return [(total, rate) for rate, total in found.values()]


def _held(row: Rates, follow: Rates | None) -> Held:
    if follow is None or follow.since == row.since:
        return Held(row, until=None if follow is None else row.since, replaced=follow is not None)
    return Held(row, until=follow.since - timedelta(days=1), replaced=False)


@workshop.read_once
def history() -> History:
    return History(tuple(Rates.objects.order_by("since", "pk")))


def at(day: date) -> Rates:
    """What holds on a day."""
    return history().at(day)


def current() -> Rates:
    """What holds today."""
    return at(workshop.today())


def plain(day: date | None = None) -> rates.Rates:
    """What holds on a day, today if none is said, for the pure rules."""
    row = current() if day is None else at(day)
    return rates.Rates(row.wage_per_hour, row.overhead_per_hour, row.frame_wear)
