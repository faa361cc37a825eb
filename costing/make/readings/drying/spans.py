"""How long it is until something, as people say it: whole hours, days or weeks, never a decimal of them."""

from datetime import timedelta

_HOUR, _DAY = timedelta(hours=1), timedelta(days=1)
_UNITS = ((36 * _HOUR, _HOUR, "hour"), (21 * _DAY, _DAY, "day"), (timedelta.max, 7 * _DAY, "week"))


def from_now(soonest: timedelta, latest: timedelta) -> str:
    """How long from now, as people say it: in hours, days or weeks, the range never narrower than it is.

    >>> from_now(timedelta(days=2.2), timedelta(days=3.6)), from_now(timedelta(hours=5.5), timedelta(hours=8.5))
    ('in about 2 to 4 days', 'in about 5 to 9 hours')
    >>> from_now(timedelta(days=-1), timedelta(days=3.6)), from_now(timedelta(days=-2), timedelta(days=-1))
    ('within about 4 days', 'now')
    >>> from_now(timedelta(days=2.6), timedelta(days=2.6)), from_now(timedelta(hours=20), timedelta(days=30))
    ('in about 3 days', 'within about 5 weeks')
    """
    if latest <= timedelta(0):
        return "now"
    _, unit, word = next(each for each in _UNITS if latest <= each[0])
    if soonest == latest:
        low = high = max(1, round(latest / unit))
    else:
        low, high = max(0, soonest // unit), -(-latest // unit)
    many = f"a{'n' if word == 'hour' else ''} {word}" if high == 1 else f"{high} {word}s"
    if not low:
        return f"within about {many}"
    return f"in about {many}" if low == high else f"in about {low} to {many}"
