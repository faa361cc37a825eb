"""Owns what the drawing of a material's stock ahead says: its lines, its bands, its marked days and the words on them.

Must not draw, and must not judge: when to order and how much come from the forecast and its advice. Quantities in base units.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from inventory import formats, units
from inventory.foresight import words
from inventory.foresight.advice import Advice
from inventory.foresight.rules import Forecast, State
from inventory.foresight.selectors import Outlook
from inventory.money import half_up

SHARES = tuple(map(Fraction, ("1/40", "1/10", "1/2", "9/10", "39/40")))
LOW, MIDDLE, HIGH = 1, 2, 3
LEAST_DAYS, MOST_DAYS = 60, 180
AFTER = Fraction(1, 5)
WEEK = 7
MOST_ROWS = 30
NAMED = 2

# Only where something is to be ordered soon is it drawn as if it were.
ASKED = (State.SHORT, State.ORDER_NOW, State.ORDER_BY)
Band = tuple[Decimal, ...]


class Kind(StrEnum):
    """What happens on a marked day."""

    PLAN = "plan"
    DUE = "due"
    ADVISED = "advised"
    SPOILS = "spoils"


@dataclass(frozen=True)
class Event:
    """A marked day, counted from today: what happens, the same with its date, and in fewer words where there is less room."""

    day: int
    kind: Kind
    what: str
    words: str
    short: str


@dataclass(frozen=True)
class Course:
    """`bands`: the stock of each day at each of `SHARES`, with the advised order coming. `bare`: the middle without it, where one
    is advised and comes within the days shown. `order`: the day to order and its words. `solid`, `dashed`: the words of the
    lines."""

    on: date
    unit: str
    bands: tuple[Band, ...]
    bare: tuple[Decimal, ...]
    events: tuple[Event, ...]
    order: tuple[int, str] | None
    arrives: int | None
    solid: str
    dashed: str

    @property
    def days(self) -> int:
        return len(self.bands) - 1

    @property
    def middle(self) -> tuple[Decimal, ...]:
        return tuple(band[MIDDLE] for band in self.bands)

    @property
    def empty(self) -> bool:
        """Nothing is there, nothing comes and nothing is taken: there is nothing to draw."""
        return not self.events and not any(any(band) for band in self.bands)

    @property
    def uncertain(self) -> bool:
        return any(band[0] != band[-1] for band in self.bands)

    @property
    def told(self) -> str:
        """What is drawn, in words."""
        order = [self.order[1]] if self.order else []
        now = f"{units.show(self.middle[0], self.unit)} now"
        return "; ".join([now, *(each.words for each in self.events), *order, *filter(None, (self.dashed, self.solid))])

    def when(self, day: int) -> date:
        return self.on + timedelta(days=day)


def course(outlook: Outlook, buy: Advice) -> Course:
    """The days to the last that matters and some more: two months at least, half a year at most."""
    seen, unit = outlook.forecast, outlook.material.unit
    lot = buy.lot.quantity
    ordered = max(0, (seen.order_by - seen.on).days) if seen.order_by and lot else None
    arrives = None if ordered is None or seen.state not in ASKED else ordered + seen.supply.lead.usual
    span = _span(seen, arrives)
    rows = seen.paths().bands(SHARES)
    whole = [tuple(value + lot for value in row) if _there(arrives, day) else row for day, row in enumerate(rows)]
    comes = arrives is not None and arrives <= span
    events = _events(seen, unit, span)
    if comes and arrives is not None:
        events.append(_advised(seen.on + timedelta(days=arrives), arrives, units.show(lot, unit)))
    return Course(
        on=seen.on,
        unit=unit,
        bands=tuple(whole[: span + 1]),
        bare=tuple(row[MIDDLE] for row in rows[: span + 1]) if comes else (),
        events=tuple(sorted(events, key=_day)),
        order=_order(seen, ordered, span),
        arrives=arrives if comes else None,
        solid=_lasts([row[MIDDLE] for row in whole], seen, span, ordered=comes),
        dashed=_lacks(seen, unit, arrives or 0) if comes else "",
    )


def _span(seen: Forecast, arrives: int | None) -> int:
    marked = [*(need.on for need in seen.needs), *(order.due for order in seen.supply.coming)]
    last = max([arrives or 0, *((day - seen.on).days for day in marked)])
    out = (seen.runs_out_on - seen.on).days if seen.runs_out_on else 0
    if arrives is None or out <= MOST_DAYS:
        last = max(last, out)
    return min(MOST_DAYS, max(LEAST_DAYS, last + max(WEEK, int(last * AFTER))))


def _there(arrives: int | None, day: int) -> bool:
    return arrives is not None and day >= arrives


def _day(event: Event) -> int:
    return event.day


def _short_day(on: date) -> str:
    return formats.day(on, year=False)


def _events(seen: Forecast, unit: str, span: int) -> list[Event]:
    planned: dict[int, list[tuple[str, Decimal]]] = defaultdict(list)
    for need in seen.needs:
        planned[max(0, (need.on - seen.on).days)].append((need.why, need.quantity))
    found = []
    for day, needs in planned.items():
        on = _short_day(seen.on + timedelta(days=day))
        names = list(dict.fromkeys(name or "a plan" for name, _ in needs))
        who = ", ".join(names) if len(names) <= NAMED else f"{len(names)} batches"
        total = units.show(sum((quantity for _, quantity in needs), Decimal(0)), unit)
        what = f"{who} need{'s' * (len(names) == 1)} {total}"
        found.append(Event(day, Kind.PLAN, what, f"{on}: {what}", f"{on}: {who}"))
    for order in seen.supply.coming:
        on, much = _short_day(order.due), units.show(order.quantity, unit)
        if order.due >= seen.on:
            what = f"{much} of {order.order} due"
            found.append(Event((order.due - seen.on).days, Kind.DUE, what, f"{on}: {what}", f"{on}: {much}"))
    for last, quantity in seen.spoiling:
        if last >= seen.on:
            on, much = _short_day(last), words.about(quantity, unit)
            told = f"{on}: best before, {much} unused"
            what = f"{much} past its best-before day"
            found.append(Event((last - seen.on).days + 1, Kind.SPOILS, what, told, f"{on}: best before"))
    return [event for event in found if event.day <= span]


def _advised(on: date, day: int, much: str) -> Event:
    return Event(day, Kind.ADVISED, f"{much} arrives", f"{much} arrives about {_short_day(on)}", f"{much} arrives")


def _order(seen: Forecast, ordered: int | None, span: int) -> tuple[int, str] | None:
    if ordered is None or ordered > span:
        return None
    if ordered == 0 or seen.state == State.SHORT:
        return 0, "order today"
    return ordered, f"order by {_short_day(seen.on + timedelta(days=ordered))}"


def _lasts(middle: list[Decimal], seen: Forecast, span: int, *, ordered: bool) -> str:
    """The solid line in words. A lack that ends, before an order comes, is told by the other line."""
    whose = "with the order: " if ordered else ""
    if middle[span] > 0:
        return f"{whose}lasts past {_short_day(seen.on + timedelta(days=span))}"
    short = middle[span] < 0
    last = max((day for day in range(span) if middle[day] > 0 or (short and middle[day] == 0)), default=None)
    if last is None:
        return f"{whose}short all along" if short else f"{whose}none there"
    return f"{whose}{'runs out about' if short else 'none left from'} {_short_day(seen.on + timedelta(days=last + 1))}"


def _lacks(seen: Forecast, unit: str, arrives: int) -> str:
    if seen.first_short and seen.short:
        late = max(seen.first_short.on, seen.on) < seen.on + timedelta(days=arrives)
        return f"{units.show(seen.short, unit)} short {'until it arrives' if late else 'if nothing is ordered'}"
    if seen.first_short:
        return f"too late for {seen.first_short.why}"
    if seen.runs_out_on:
        return f"runs out about {_short_day(seen.runs_out_on)} if nothing is ordered"
    return "if nothing is ordered"


@dataclass(frozen=True)
class Row:
    """A line of the table behind the drawing: what falls on the day, and the stock in one time of ten, in the middle, in nine."""

    on: date
    what: tuple[str, ...]
    low: str
    middle: str
    high: str
    bare: str


def rows(found: Course) -> list[Row]:
    """A week each, and every marked day."""
    marked: dict[int, list[str]] = defaultdict(list)
    if found.order:
        marked[found.order[0]].append(found.order[1])
    for event in found.events:
        marked[event.day].append(event.what)
    step = next(step for step in (1, 2, 4, 8, 16) if len(_days(found, step * WEEK, marked)) <= MOST_ROWS or step == 16)
    places = _places(found)
    shown = _days(found, step * WEEK, marked)[:MOST_ROWS]

    def told(quantity: Decimal) -> str:
        return units.told(half_up(Fraction(quantity) / units.ratio(found.unit), places), found.unit)

    def row(day: int) -> Row:
        low, middle, high = (told(found.bands[day][share]) for share in (LOW, MIDDLE, HIGH))
        bare = told(found.bare[day]) if found.bare else ""
        return Row(found.when(day), tuple(marked.get(day, ())), low, middle, high, bare)

    return [row(day) for day in shown]


def _days(found: Course, step: int, marked: Iterable[int]) -> list[int]:
    return sorted({*range(0, found.days + 1, step), *marked, found.days})


def _places(found: Course) -> int:
    """One figure finer than two of the most that is there."""
    most = max(abs(value) for band in found.bands for value in band)
    return words.two_figures(Fraction(most) / units.ratio(found.unit)) + (found.unit != "piece") if most else 0
