"""The forecast of materials from the books: own use of the past, lots, orders under way, and what the floors above have planned."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Protocol, cast
from zlib import crc32

from django.db.models import Max, OuterRef, Q, QuerySet, Subquery, Sum, Value

from inventory.base import selectors as workshop, signals
from inventory.foresight import past, rules
from inventory.foresight.quiet import quiet
from inventory.foresight.supply import Coming, Lead, Need, Parcel, Supply, lead
from inventory.ledger import selectors as ledger
from inventory.ledger.models import Lot, Movement
from inventory.materials import selectors as materials_read
from inventory.materials.models import Material
from inventory.money import ZERO, half_up
from inventory.orders import selectors as orders

FULLEST_DAYS = 365

Extra = Mapping[int, Sequence[Need]]
NO_EXTRA: Extra = MappingProxyType({})
TAKEN = ("pk", "code", "on_hand", "supplier_id", "lead_days", "safety_days", "pack_quantity", "shelf_life_days")
PRESSING = {state: place for place, state in enumerate(rules.State)}


class Row(Protocol):
    """What a forecast takes of a material."""

    @property
    def pk(self) -> int: ...
    @property
    def code(self) -> str: ...
    @property
    def on_hand(self) -> Decimal: ...
    @property
    def supplier_id(self) -> int | None: ...
    @property
    def lead_days(self) -> int: ...
    @property
    def safety_days(self) -> int: ...
    @property
    def pack_quantity(self) -> Decimal | None: ...
    @property
    def shelf_life_days(self) -> int | None: ...


@dataclass(frozen=True)
class Outlook:
    """One material and its forecast. `fullest` is the most that was there within a year, in the base unit."""

    material: Material
    forecast: rules.Forecast
    fullest: Decimal

    @property
    def filled(self) -> int:
        """The level of its jar: what is there, in whole percent of the most."""
        return _percent(self.material.on_hand, self.fullest)

    @property
    def need(self) -> int | None:
        """The reorder point on the same scale."""
        level = self.forecast.reorder_point
        return _percent(min(level, self.fullest), self.fullest) if level and self.fullest else None


def shelf(on: date | None = None) -> QuerySet[Material]:
    """The materials, each with the day of its first movement (`first_on`) and the most that was there within a year (`fullest`)."""
    day = workshop.today() if on is None else on
    moved = Movement.objects.filter(material=OuterRef("pk")).order_by()
    own = moved.values("material")
    year = own.filter(on__gt=day - timedelta(days=FULLEST_DAYS))
    return materials_read.shelf().annotate(
        first_on=Subquery(moved.order_by("on").values("on")[:1]),
        fullest=Subquery(year.annotate(most=Max("quantity_left")).values("most")),
    )


def outlooks(
    on: date,
    materials: Iterable[Material] | None = None,
    *,
    service: Fraction = rules.SERVICE,
    extra: Extra = NO_EXTRA,
    slower: int = 1,
) -> list[Outlook]:
    """How each material stands on a day: what to do about it first at the top.

    For a "what if": needs `extra` by material, and orders that take so many times longer.
    """
    rows = _known(on, materials)
    found = _forecasts(rows, on, service=service, extra=extra, slower=slower)
    return _sorted(rows, found)


def alerts(on: date) -> list[Outlook]:
    """Only those about which something must be done, as `outlooks` has them; the records of the others are not read."""
    rows = list(_plain(materials_read.shelf()))
    found = {pk: seen for pk, seen in _forecasts(rows, on, alerts=True).items() if seen.alert}
    return _sorted(list(shelf(on).filter(pk__in=found)), found)


def _plain(materials: QuerySet[Material]) -> Iterable[Row]:
    rows: Any = materials.values_list(*TAKEN, named=True)
    return cast("Iterable[Row]", rows)


def _sorted(rows: Iterable[Material], found: Mapping[int, rules.Forecast]) -> list[Outlook]:
    each = [Outlook(row, found[row.pk], max(row.on_hand, getattr(row, "fullest", None) or ZERO)) for row in rows]
    return sorted(each, key=_pressing)


def _forecasts(
    rows: Sequence[Row],
    on: date,
    *,
    service: Fraction = rules.SERVICE,
    extra: Extra = NO_EXTRA,
    slower: int = 1,
    alerts: bool = False,
) -> dict[int, rules.Forecast]:
    """By material (its key); of `alerts` alone where so asked, and of some about which nothing has to be done."""
    asked = _needs(on)
    usual = past.usual([row.pk for row in rows], on)
    parcels = _parcels(rows, on)
    coming, takes = orders.supply(on)
    found = {}
    for row in rows:
        stated = lead(row.lead_days, takes.get(row.supplier_id or 0, ()))
        supply = Supply(
            parcels=parcels[row.pk],
            coming=tuple(_due(each, stated) for each in coming.get(row.pk, ())),
            lead=stated if slower == 1 else replace(stated, days=tuple(day * slower for day in stated.days)),
            safety_days=row.safety_days,
            pack=row.pack_quantity,
            shelf_life_days=row.shelf_life_days,
        )
        needs = tuple(sorted((*asked.get(row.pk, ()), *extra.get(row.pk, ())), key=_day))
        # The same paths again for the same material, on any day and database.
        origin = crc32(row.code.encode())
        if alerts and quiet(supply, needs, usual[row.pk], on, service=service, origin=origin):
            continue
        found[row.pk] = rules.forecast(supply, needs, usual[row.pk], on, service=service, origin=origin)
    return found


def _pressing(outlook: Outlook) -> tuple[int, date, str]:
    seen = outlook.forecast
    # An order that is late waits for somebody to ask, as what is to be ordered does.
    state = rules.State.ORDER_NOW if seen.late else seen.state
    return PRESSING[state], seen.order_by or date.max, outlook.material.name


def _day(need: Need) -> date:
    return need.on


def by_material(on: date, materials: Iterable[Material]) -> dict[int, Outlook]:
    return {each.material.pk: each for each in outlooks(on, materials)}


def _known(on: date, materials: Iterable[Material] | None) -> list[Material]:
    """Rows as `shelf` has them: all, or those given, in their order."""
    if materials is None:
        return list(shelf(on))
    given = list(materials)
    if all(hasattr(row, "fullest") for row in given):
        return given
    found = shelf(on).in_bulk([row.pk for row in given])
    return [found[row.pk] for row in given]


def _needs(on: date) -> dict[int, list[Need]]:
    asked: dict[int, list[Need]] = defaultdict(list)
    for _, answer in signals.needs_sought.send(None, on=on):
        if isinstance(answer, Mapping):
            for pk, needs in answer.items():
                asked[pk].extend(needs)
    return asked


def _due(order: orders.Coming, takes: Lead) -> Coming:
    """When an order is to come: on its stated day, else after the usual time."""
    return Coming(order.quantity, order.due or order.ordered + timedelta(days=takes.usual), order.order, order.ordered)


def _parcels(rows: Sequence[Row], on: date) -> dict[int, tuple[Parcel, ...]]:
    """What was there at the end of a day: by best-before day where one is known, the rest as one parcel that keeps."""
    lots = Lot.objects.filter(material__in=[row.pk for row in rows], expires_on__isnull=False, on__lte=on)
    if on >= workshop.today():
        there = {row.pk: row.on_hand for row in rows}
        lots = lots.filter(quantity__gt=0).annotate(later=Value(ZERO))
    else:
        there = {pk: balance.quantity for pk, balance in ledger.balances(on, cast("Sequence[Material]", rows)).items()}
        later = Sum("draws__quantity", filter=Q(draws__movement__on__gt=on))
        lots = lots.annotate(later=later)
    dated: dict[int, list[Parcel]] = defaultdict(list)
    for pk, last, quantity, taken_later in lots.values_list("material", "expires_on", "quantity", "later"):
        if (then := quantity - (taken_later or ZERO)) > 0:
            dated[pk].append(Parcel(then, last))
    found = {}
    for row in rows:
        own = dated[row.pk]
        rest = there.get(row.pk, ZERO) - sum((parcel.quantity for parcel in own), ZERO)
        found[row.pk] = (*own, Parcel(max(ZERO, rest)))
    return found


def _percent(part: Decimal, whole: Decimal) -> int:
    return int(half_up(Fraction(100 * part) / Fraction(whole), 0)) if whole else 0
