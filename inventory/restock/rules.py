"""When a material runs out, by when to order it, and how many packs: from planned needs and own average use.

Owns the looking-ahead rule. Must not read a database, choose a supplier, or turn its answer into words for a page.
Planned needs are taken on their dates; average use is added only after the last of them, because planned batches *are*
that use and adding both would count it twice.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Literal

Reason = Literal["planned", "usual_use", "none"]
COVER_DAYS = 30
WINDOW_DAYS = 365
LEAST_WINDOW_DAYS = 30

# A material that lasts longer than this does not run out in any sense a maker plans by (and dates do end).
FAR_DAYS = 3650


@dataclass(frozen=True)
class Need:
    """A quantity, in base units, that something planned takes on a date."""

    on: date
    quantity: Decimal
    why: str = ""

    def __post_init__(self) -> None:
        if self.quantity < 0:
            raise ValueError(f"a need of {self.quantity} on {self.on} is below zero")


@dataclass(frozen=True)
class Supply:
    """One material's stock and how it is bought. Quantities in base units; `pack` None = bought loose."""

    on_hand: Decimal
    daily_use: Fraction = Fraction(0)
    lead_days: int = 0
    safety_days: int = 0
    pack: Decimal | None = None
    shelf_life_days: int | None = None

    def __post_init__(self) -> None:
        if self.on_hand < 0 or self.daily_use < 0 or self.lead_days < 0 or self.safety_days < 0:
            raise ValueError(f"stock, use, lead and safety days cannot be below zero: {self}")
        if self.pack is not None and self.pack <= 0:
            raise ValueError(f"a pack must hold more than {self.pack}")


@dataclass(frozen=True)
class Outlook:
    """The answer. `points` are (date, projected stock) for a chart; a planned need gives two, before and after.

    `reason` says what empties the shelf; `spoils` that a pack would outlive its shelf life at the average use.
    """

    runs_out_on: date | None
    order_by: date | None
    needed: Decimal
    short: Decimal
    packs: int
    alert: bool
    reason: Reason
    points: tuple[tuple[date, Decimal], ...]
    spoils: bool


def average_daily(used: Decimal, since: date, on: date) -> Fraction:
    """Own average use a day: what was used in the last 365 days up to and with `on`, ÷ those days; not below zero.

    A shelf younger than that must not look thrifty: its use is spread over the days it has existed `since`, 30 at least.

    >>> average_daily(Decimal(730), date(2020, 1, 1), date(2025, 12, 31))
    Fraction(2, 1)
    """
    return max(Fraction(0), Fraction(used) / min(WINDOW_DAYS, max(LEAST_WINDOW_DAYS, (on - since).days + 1)))


def outlook(supply: Supply, needs: Sequence[Need], on: date, *, look_ahead_days: int = 14) -> Outlook:
    """Look ahead from `on`. Runs out = first date a planned need takes more than is there, or average use empties it.

    order by = runs out - lead days - safety days; needed = all planned needs; short = needed - on hand, not below zero;
    packs cover the shortage, or for average use lead + safety + 30 days. A need dated before `on` counts on `on`.

    >>> alum = Supply(Decimal(560), lead_days=9, safety_days=3, pack=Decimal(2000))
    >>> seen = outlook(alum, [Need(date(2026, 1, 12), Decimal(1920), "four sheepskins")], date(2025, 12, 31))
    >>> seen.order_by.isoformat(), seen.short, seen.packs, seen.alert
    ('2025-12-31', Decimal('1360'), 1, True)
    """
    planned = _by_date(needs, on)
    needed = sum(planned.values(), Decimal(0))
    points = _planned_points(supply.on_hand, planned, on)
    runs_out, reason = _run_out(supply, points)
    if reason == "usual_use" and runs_out is not None:
        points.append((runs_out, Decimal(0)))
    order_by = runs_out - timedelta(days=supply.lead_days + supply.safety_days) if runs_out else None
    short = max(Decimal(0), needed - supply.on_hand)
    return Outlook(
        runs_out_on=runs_out,
        order_by=order_by,
        needed=needed,
        short=short,
        packs=_packs(supply, short, reason),
        alert=order_by is not None and order_by <= on + timedelta(days=look_ahead_days),
        reason=reason,
        points=tuple(points),
        spoils=_spoils(supply),
    )


def _by_date(needs: Iterable[Need], on: date) -> dict[date, Decimal]:
    """Planned quantities by date, in order, the past ones on `on`."""
    planned: dict[date, Decimal] = {}
    for need in sorted(needs, key=lambda each: each.on):
        day = max(need.on, on)
        planned[day] = planned.get(day, Decimal(0)) + need.quantity
    return planned


def _planned_points(on_hand: Decimal, planned: dict[date, Decimal], on: date) -> list[tuple[date, Decimal]]:
    points = [(on, on_hand)]
    left = on_hand
    for day, quantity in planned.items():
        if day > on:
            points.append((day, left))
        left -= quantity
        points.append((day, left))
    return points


def _run_out(supply: Supply, points: Sequence[tuple[date, Decimal]]) -> tuple[date | None, Reason]:
    for day, left in points:
        if left < 0:
            return day, "planned"
    last, left = points[-1]
    if not supply.daily_use:
        return None, "none"
    days = ceil(Fraction(left) / supply.daily_use)
    if days > FAR_DAYS:
        return None, "none"
    return last + timedelta(days=days), "usual_use"


def _packs(supply: Supply, short: Decimal, reason: Reason) -> int:
    if supply.pack is None or reason == "none":
        return 0
    if reason == "planned":
        return ceil(Fraction(short) / Fraction(supply.pack))
    days = supply.lead_days + supply.safety_days + COVER_DAYS
    # There is some use, so this is one pack at least.
    return ceil(supply.daily_use * days / Fraction(supply.pack))


def _spoils(supply: Supply) -> bool:
    if supply.pack is None or supply.shelf_life_days is None or not supply.daily_use:
        return False
    return Fraction(supply.pack) / supply.daily_use > supply.shelf_life_days
