"""When a material runs out, by when to order it and how sure that is: the one forecast behind every page, paper and command.

Owns the judgement. Must not read a database, choose a supplier, or turn its answer into words. Plans are exact and taken on their
days; usual use is drawn from its own past. A plan stands in for the usual use of batches before it, so that nothing counts twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cached_property, lru_cache
from math import ceil
from typing import TYPE_CHECKING

from inventory.foresight.demand import Usual
from inventory.foresight.supply import Coming, Need, Supply
from inventory.money import half_up

if TYPE_CHECKING:
    from inventory.foresight.simulation import Run, Stream

SERVICE = Fraction(95, 100)
LOOK_AHEAD_DAYS = 14
SPOILS_DAYS = 30
COVER_DAYS = 30
WEEK = 7
HORIZON, LONGEST_HORIZON = 180, 1100

# A plan explains the usual use before it: as far back as the longest pause there was, and so many days at least.
LEAST_PAUSE = 30

# A material that lasts longer than this does not run out in any sense a maker plans by (and dates do end).
FAR_DAYS = 3650
KEPT = 4096


class State(StrEnum):
    """What is to be done about a material, the most pressing first."""

    SHORT = "short"
    ORDER_NOW = "order_now"
    ORDER_BY = "order_by"
    SPOILS = "spoils"
    ORDERED = "ordered"
    FINE = "fine"


@dataclass(frozen=True)
class Forecast:
    """The answer. Quantities in base units.

    `runs_out_on`: the day on which half of the paths lack something. `order_by`: the latest day on which an order still comes in
    time at the chosen service, safety days spared. `short`: what plans lack with what is there and ordered; `first_short`: the
    plan that lacks first. `wanted`: what to buy then, before packs. `risk`: the chance to run short before goods ordered today
    would come; `risk_in_a_week` the same for goods ordered a week later. `late`: an order that is past its day and not counted on.
    """

    on: date
    supply: Supply
    needs: tuple[Need, ...]
    use: Usual
    service: Fraction
    runs_out_on: date | None
    order_by: date | None
    needed: Decimal
    short: Decimal
    first_short: Need | None
    wanted: Decimal
    keeps: Decimal | None
    risk: Fraction
    risk_in_a_week: Fraction
    reorder_point: Decimal
    late: Coming | None
    spoiling: tuple[tuple[date, Decimal], ...]
    origin: int

    def paths(self) -> Run:
        """The paths it rests on, drawn again: they are too many to be kept."""
        return _paths(self.supply, self.needs, self.use, self.on, self.origin)

    @property
    def reason(self) -> str:
        """What empties the shelf: `planned`, `usual_use` or `none`."""
        if self.runs_out_on is None:
            return "none"
        return "planned" if any(max(need.on, self.on) == self.runs_out_on for need in self.needs) else "usual_use"

    @cached_property
    def state(self) -> State:
        if self.late and not self.wanted:
            return State.ORDERED
        if self.first_short and max(self.first_short.on, self.on) < self.on + timedelta(days=self.supply.lead.usual):
            return State.SHORT
        if self.order_by and self.order_by <= self.on:
            return State.ORDER_NOW
        in_sight = self.order_by and self.order_by <= self.on + timedelta(days=LOOK_AHEAD_DAYS)
        if in_sight or (self.order_by and self.first_short):
            return State.ORDER_BY
        if self.supply.coming:
            return State.ORDERED
        return State.SPOILS if self.spoils else State.FINE

    @cached_property
    def alert(self) -> bool:
        """Whether somebody has to do something about it soon."""
        return self.state not in (State.FINE, State.ORDERED) or self.late is not None

    @property
    def overdue_days(self) -> int:
        """Days since it should have been ordered, or since an order should have come."""
        if self.state == State.ORDERED:
            return (self.on - self.late.due).days if self.late else 0
        return max(0, (self.on - self.order_by).days) if self.order_by else 0

    @property
    def spoils(self) -> tuple[date, Decimal] | None:
        """The next day on which something of it goes past its best-before day unused, within a month."""
        last = self.on + timedelta(days=SPOILS_DAYS)
        return next((told for told in self.spoiling if self.on <= told[0] <= last), None)

    @property
    def spoiled(self) -> Decimal:
        """What is past its best-before day already."""
        return sum((quantity for last, quantity in self.spoiling if last < self.on), Decimal(0))

    @property
    def next_due(self) -> date | None:
        """When the next order is to come."""
        return min((order.due for order in self.supply.coming), default=None)


@lru_cache(KEPT)
def forecast(
    supply: Supply, needs: tuple[Need, ...], use: Usual, on: date, *, service: Fraction = SERVICE, origin: int = 0
) -> Forecast:
    """Look ahead from `on`; needs are in the order of their dates. Needs of past days count today; an order past its day is not
    counted on until it comes. Asked the same again it answers from memory: nothing but what is given goes into it.

    order by = the day at which the share `service` of the paths still has an order in time, less the safety days. Where nothing is
    planned it is at once when less is there and ordered than the reorder point.
    """
    if not 0 < service < 1:
        raise ValueError(f"a service level lies between 0 and 1, not at {service}")
    seen = _paths(supply, needs, use, on, origin)
    runs_out = _runs_out(seen, use.rate)
    order_in = _order_in(supply, seen, runs_out, service)
    lacking_first = first_short(supply, needs, on)
    needed = sum((need.quantity for need in needs), Decimal(0))
    short = max(Decimal(0), sum(supply.missing(needs, on), Decimal(0)) - supply.on_order)
    point = reorder_point(supply, needs, use, on, service, origin)
    below = Decimal(0)
    if use.rate and not standing(needs):
        below = point - supply.on_order - supply.good_on(on)
        if below > 0:
            order_in = min(order_in or 0, 0)
    arrives = max(0, order_in or 0) + supply.lead.usual
    wanted = Decimal(0)
    if order_in is not None:
        wanted = _wanted(supply, seen, use, arrives, service, least=max(below, short if lacking_first else Decimal(0)))
    return Forecast(
        on=on,
        supply=supply,
        needs=needs,
        use=use,
        service=service,
        runs_out_on=None if runs_out is None else on + timedelta(days=runs_out),
        order_by=None if order_in is None else on + timedelta(days=order_in),
        needed=needed,
        short=short,
        first_short=lacking_first,
        wanted=wanted,
        keeps=_keeps(supply, seen, use, arrives),
        risk=seen.risk(supply.lead.days),
        risk_in_a_week=seen.risk(supply.lead.days, WEEK),
        reorder_point=point,
        late=next((order for order in supply.coming if order.due < on), None),
        spoiling=seen.spoils,
        origin=origin,
    )


def _paths(supply: Supply, needs: Sequence[Need], use: Usual, on: date, origin: int) -> Run:
    from inventory.foresight import simulation  # numpy takes long to load: only when something is forecast

    days = horizon(supply, needs, on)
    counted = [order for order in supply.coming if order.due >= on]
    return simulation.run(
        supply.parcels, counted, needs, streams(use, standing(needs), on, days), on, days, origin=origin
    )


def standing(needs: Sequence[Need]) -> tuple[Need, ...]:
    """Those that stand in for usual use."""
    return tuple(need for need in needs if not need.beside)


def horizon(supply: Supply, needs: Sequence[Need], on: date) -> int:
    last = (needs[-1].on - on).days if needs else 0
    return min(max(HORIZON, last + 2 * LEAST_PAUSE, supply.longest + COVER_DAYS + LEAST_PAUSE), LONGEST_HORIZON)


def streams(use: Usual, needs: Sequence[Need], on: date, days: int) -> tuple[Stream, Stream]:
    """The two kinds of usual use on their clocks. Before a plan the clock of batches stands: the plan is that use."""
    from inventory.foresight.simulation import Stream  # as in `_paths`

    season = _season(use, on, days)
    besides = Stream(use.besides, season)
    if not needs:
        return Stream(use.batches, season), besides
    back = max(LEAST_PAUSE, *use.batches.gaps, 0)
    clock = list(season)
    for need in needs:
        last = (need.on - on).days
        for day in range(max(1, last - back), min(last, days) + 1):
            clock[day - 1] = Fraction(0)
    # A plan shows that its use goes on. Where it stands in from now on, the next use comes a whole pause after it.
    stands_in = (needs[0].on - on).days <= back
    return Stream(replace(use.batches, alive=Fraction(1)), clock, fresh=stands_in), besides


def _season(use: Usual, on: date, days: int) -> list[Fraction]:
    """For each day from tomorrow on, how much of an ordinary day of use it is."""
    return [use.season[(on + timedelta(days=day)).month - 1] for day in range(1, days + 1)]


def _runs_out(seen: Run, rate: Fraction) -> int | None:
    """Days from today until it runs out: on the paths, or beyond their end by the usual rate."""
    if seen.middle_lack is not None or not rate:
        return seen.middle_lack
    days = seen.days + max(1, ceil(Fraction(seen.stock_on(seen.days)) / rate))
    return days if days <= FAR_DAYS else None


def _order_in(supply: Supply, seen: Run, runs_out: int | None, service: Fraction) -> int | None:
    """Days from today to the latest day to order; below nothing where it is past. None: nothing runs out."""
    latest = seen.order_in(supply.lead.days, service)
    if latest is None and runs_out is not None:
        latest = max(runs_out, seen.days + 1) - max(supply.lead.days)
    return None if latest is None else latest - supply.safety_days


def first_short(supply: Supply, needs: Sequence[Need], on: date) -> Need | None:
    """The first plan that plans before it and what is there and coming do not leave enough for."""
    missing = supply.missing(needs, on, [order for order in supply.coming if order.due >= on])
    return next((need for need, lacks in zip(needs, missing, strict=True) if lacks), None)


def _wanted(supply: Supply, seen: Run, use: Usual, arrives: int, service: Fraction, least: Decimal) -> Decimal:
    """What to buy: what plans lack, and what a month after the goods came takes at the chosen service; orders under way off."""
    covers = arrives + supply.safety_days + COVER_DAYS
    late = sum((order.quantity for order in supply.coming if order.due < seen.on), Decimal(0))
    wanted = max(least, seen.lacking(covers, service) - late)
    if covers > seen.days:
        wanted = max(wanted, half_up(use.rate * COVER_DAYS, 3))
    return wanted


def _keeps(supply: Supply, seen: Run, use: Usual, arrives: int) -> Decimal | None:
    """So much of what is bought is used before it spoils; None: it keeps."""
    if supply.shelf_life_days is None:
        return None
    last = arrives + supply.shelf_life_days
    further = half_up(use.rate * max(0, last - seen.days), 3)
    before = max(Decimal(0), seen.stock_on(arrives))
    return max(Decimal(0), seen.used_by(last) - seen.used_by(arrives) + further - before)


def reorder_point(
    supply: Supply, needs: Sequence[Need], use: Usual, on: date, service: Fraction, origin: int
) -> Decimal:
    """What goes while an order is on its way at the chosen service, from a use on; never below one usual batch or use."""
    from inventory.foresight import simulation  # as in `_paths`

    days, batch = supply.longest, at_once(use, needs)
    if not days or not use.rate:
        return batch if use.rate or needs else Decimal(0)
    seen = simulation.run((), (), (), while_ordered(use, on, days), on, days, origin=origin)
    return max(batch, seen.used_by(days, service))


def at_once(use: Usual, needs: Sequence[Need]) -> Decimal:
    return use.usual_batch or use.usual_use or max((need.quantity for need in needs), default=Decimal(0))


def while_ordered(use: Usual, on: date, days: int) -> list[Stream]:
    from inventory.foresight.simulation import Stream  # as in `_paths`

    season = _season(use, on, days)
    return [Stream(habit, season, fresh=True) for habit in (use.batches, use.besides)]
