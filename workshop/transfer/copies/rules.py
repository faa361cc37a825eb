"""Which copies are kept, how they are called, and when the maker is told that there should be a newer one. Pure."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

DAYS, WEEKS, MONTHS = 7, 4, 12
OLD = timedelta(days=7)
NAME = re.compile(r"tawery-(\d{4}-\d{2}-\d{2}-\d{6})\.zip")
_STAMP = "%Y-%m-%d-%H%M%S"


@dataclass(frozen=True)
class Known:
    """What is known of copies: since when there is a workshop, its last good copy, the last that lies on another disk."""

    begun: datetime | None = None
    last: datetime | None = None
    away: datetime | None = None


def stamp(made: datetime) -> str:
    """A moment as copies are named by it, in UTC.

    >>> stamp(datetime(2026, 3, 1, 9, 5, 7, tzinfo=UTC))
    '2026-03-01-090507'
    """
    return made.astimezone(UTC).strftime(_STAMP)


def name(made: datetime) -> str:
    return f"tawery-{stamp(made)}.zip"


def made_at(name: str) -> datetime | None:
    """When the copy of that name was made; None for a name that is no copy's.

    >>> made_at("tawery-2026-03-01-090507.zip").isoformat()
    '2026-03-01T09:05:07+00:00'
    >>> made_at("tawery-2026-13-01-090507.zip") is None
    True
    """
    found = NAME.fullmatch(name)
    try:
        return datetime.strptime(found[1], _STAMP).replace(tzinfo=UTC) if found else None
    except ValueError:
        return None


def kept(made: Iterable[datetime]) -> set[datetime]:
    """The newest copy of each of the last 7 days, 4 weeks and 12 months that have any. A pause forgets none by itself.

    >>> noon = datetime(2026, 3, 1, 12, tzinfo=UTC)
    >>> len(kept(noon - timedelta(days=back) for back in range(30)))
    11
    """
    newest_first = sorted(made, reverse=True)
    found: set[datetime] = set()
    for span, most in ((_day, DAYS), (_week, WEEKS), (_month, MONTHS)):
        newest: dict[object, datetime] = {}
        for each in newest_first:
            newest.setdefault(span(each), each)
        found.update(list(newest.values())[:most])
    return found


def nag(known: Known, now: datetime) -> str:
    """What is wrong with the copies, in one sentence; nothing where a good one is young and one lies on another disk.

    A workshop in its first week is not asked for another disk yet.
    """
    if known.last is None:
        return "No copy of this workshop is kept yet."
    if now - known.last > OLD:
        return f"The last good copy is {(now - known.last).days} days old."
    if known.away is not None and now - known.away > OLD:
        return f"The last copy on another disk is {(now - known.away).days} days old."
    if known.away is None and (known.begun is None or now - known.begun > OLD):
        return "Every copy lies on the same disk as the workshop."
    return ""


def _day(made: datetime) -> object:
    return made.date()


def _week(made: datetime) -> object:
    return made.isocalendar()[:2]


def _month(made: datetime) -> object:
    return made.year, made.month
