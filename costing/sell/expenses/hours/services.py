"""Hours that no skin bears: the stall, buying, photos, papers.

Nothing is edited: a mistake is reversed by a linked entry of the same size.
"""

from datetime import date
from decimal import Decimal

from costing.sell.expenses.hours.models import SideHours
from inventory.base import checks, services as entries
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person, author

YEAR_MINUTES = 366 * 24 * 60


@service(Act.BOOKS, makes=SideHours)
def write(
    *, kind: str, minutes: Decimal, on: date, words: str = "", by: Person = None, request_key: str | None = None
) -> SideHours:
    """Hours that no skin bears. They may stand for many days (a year's papers), so a day's length is no limit."""
    checks.day(on)
    checks.held(checks.positive(minutes, "The minutes", field="minutes"), field="minutes")
    if minutes > YEAR_MINUTES:
        raise Refused(f"{minutes} minutes are more than a year has.", field="minutes")
    if kind not in SideHours.Kind.values:
        raise Refused(
            f"{kind!r} is not a known kind of hours; choose one of {', '.join(SideHours.Kind.values)}.", field="kind"
        )
    return SideHours.objects.create(
        on=on,
        kind=kind,
        minutes=minutes,
        words=checks.text(words, "The words", field="words", longest=80),
        written_by=author(by),
    )


@service(Act.BOOKS, makes=SideHours)
def reverse(*, row: SideHours, on: date | None = None, by: Person = None, request_key: str | None = None) -> SideHours:
    """Hours that never were."""
    return entries.reverse(row, _mirrored, already="These hours are reversed already.", on=on, writer=author(by))


def _mirrored(row: SideHours, on: date) -> SideHours:
    return SideHours(on=on, kind=row.kind, minutes=-row.minutes, words=row.words)
