"""Reads of the shelf for its pages: what stands there, what it is worth, how full, how long it lasts, and how it came.

How long it lasts is by own average use only; what planned batches need is joined upstairs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Count, Max, Min, Q, QuerySet, Sum

from inventory import money, restock, units
from inventory.models import Delivery, Kind, Lot, Material, Movement, Place, Posting, Skin, Supplier
from inventory.selectors import workshop

WINDOW_DAYS = 365
LEAST_WINDOW_DAYS = 30
ALIVE = (Skin.Stage.RAW, Skin.Stage.IN_WORK)


@dataclass(frozen=True)
class Look:
    """How one material stands: its outlook by usual use, and the level of its jar (whole percent of its fullest).

    `order_level` is what goes while an order is on its way (base unit), `need` the same on the jar's scale.
    """

    outlook: restock.Outlook
    daily_use: Fraction
    fullest: Decimal
    filled: int
    order_level: Decimal
    need: int | None

    @property
    def late(self) -> bool:
        """The day to order is here or past."""
        return self.outlook.order_by is not None and self.outlook.order_by <= self.outlook.points[0][0]

    def usual(self, unit: str) -> str:
        """The usual use said for a month of 30 days, to two figures."""
        exact = self.daily_use * 30 / Fraction(units.factor(unit))
        return f"{money.half_up(exact, two_figures(exact)).normalize():f} {units.label(unit)} in 30 days"

    def words(self, unit: str) -> str:
        """The level said: what the drawn jar shows, for those who do not see it."""
        said = f"{self.filled} % of the year's fullest"
        return said if self.need is None else f"{said}; order at {about(self.order_level, unit)}"


@dataclass(frozen=True)
class LandedLine:
    """One line of a delivery with what it cost on the shelf. Money; `quantity` in the material's base unit."""

    material: Material
    movement: Movement
    packs: Decimal
    pack_quantity: Decimal
    pack_price: Decimal
    goods: Decimal
    carriage: Decimal
    value: Decimal


@dataclass(frozen=True)
class Landed:
    """A delivery with its lines and sums."""

    delivery: Delivery
    lines: tuple[LandedLine, ...]
    goods: Decimal
    carriage: Decimal
    total: Decimal


def shelf() -> QuerySet[Material]:
    return Material.objects.select_related("place", "supplier").order_by("name", "code")


def total_value(rows: QuerySet[Material]) -> Decimal:
    """Book value of the materials in `rows`, all pages of them."""
    return rows.order_by().aggregate(total=Sum("value"))["total"] or Decimal(0)


def unit_cost(value: Decimal, quantity: Decimal, unit: str) -> Decimal | None:
    """Money per `unit`: value ÷ quantity × base units in one, to the coin, or two places finer below a tenth.

    `quantity` is in base units; None where there is nothing to divide by.
    """
    if not quantity:
        return None
    exact = Fraction(value) / Fraction(quantity) * Fraction(units.factor(unit))
    places = workshop.places()
    coins, fine = money.half_up(exact, places), money.half_up(exact, places + 2)
    return fine if exact < Fraction(1, 10) and fine != coins else coins


def looks(materials: Iterable[Material], on: date) -> dict[int, Look]:
    """How each of the materials stands on `on`, by primary key. Three queries, however many there are."""
    rows = list(materials)
    used = _used(rows, on)
    fullest = _by_material(rows, Q(on__gt=on - timedelta(days=WINDOW_DAYS)), Max("quantity_left"))
    first = _by_material(rows, Q(), Min("on"))
    return {row.pk: _look(row, on, used.get(row.pk), fullest.get(row.pk), first.get(row.pk)) for row in rows}


def _by_material(rows: Sequence[Material], wanted: Q, what: Max | Min) -> dict[int, object]:
    found = Movement.objects.filter(wanted, material__in=rows).order_by().values("material").annotate(found=what)
    return {row["material"]: row["found"] for row in found}


def _used(rows: Sequence[Material], on: date) -> dict[int, Decimal]:
    """What was put in work or left with sales in the window; reversals cancel."""
    moved = (
        Movement.objects.filter(
            material__in=rows, kind__in=[Kind.USE, Kind.SOLD], on__gt=on - timedelta(days=WINDOW_DAYS), on__lte=on
        )
        .order_by()
        .values("material")
        .annotate(moved=Sum("quantity"))
    )
    return {row["material"]: -row["moved"] for row in moved}


def _look(row: Material, on: date, used: Decimal | None, fullest: object, first: object) -> Look:
    # A shelf younger than the window must not look thrifty: its use is spread over the days it has existed.
    days = (on - first).days + 1 if isinstance(first, date) else WINDOW_DAYS
    window = min(WINDOW_DAYS, max(LEAST_WINDOW_DAYS, days))
    daily = max(restock.average_daily([(on, used or Decimal(0))], on, window), Fraction(0))
    supply = restock.Supply(
        on_hand=row.on_hand,
        daily_use=daily,
        lead_days=row.lead_days,
        safety_days=row.safety_days,
        pack=row.pack_quantity,
        shelf_life_days=row.shelf_life_days,
    )
    most = max(row.on_hand, fullest if isinstance(fullest, Decimal) else Decimal(0))
    level = money.half_up(daily * (row.lead_days + row.safety_days), 3)
    return Look(
        outlook=restock.outlook(supply, [], on),
        daily_use=daily,
        fullest=most,
        filled=_percent(row.on_hand, most),
        order_level=level,
        need=_percent(min(level, most), most) if level and most else None,
    )


def about(amount: Fraction | Decimal, unit: str) -> str:
    """A worked-out amount (base units) in `unit`, rounded up to two figures: an order level of 0.067068 kg says no more
    than 0.068 kg, and rounding down would order late.

    >>> about(Decimal("67.068"), "kg"), about(Decimal("0.477"), "piece"), about(Decimal(120400), "kg")
    ('0.068 kg', '1 pc', '121 kg')
    """
    exact = Fraction(amount) / Fraction(units.factor(unit))
    places = 0 if unit == "piece" else two_figures(exact)
    return f"{money.ceil_to(exact, places).normalize():f} {units.label(unit)}"


def two_figures(exact: Fraction) -> int:
    """The places that show two figures of a number: one for 3.4, two for 0.34, none from 10 on; six at most.

    >>> two_figures(Fraction(17, 5)), two_figures(Fraction(17, 50)), two_figures(Fraction(34))
    (1, 2, 0)
    """
    return max(0, min(6, 1 - money.half_up(exact, 6).adjusted()))


def _percent(part: Decimal, whole: Decimal) -> int:
    return int(money.half_up(Fraction(100) * Fraction(part) / Fraction(whole), 0)) if whole else 0


def open_lots(material: Material) -> QuerySet[Lot]:
    """What is left of each arrival, oldest first, with the entry it came by."""
    return (
        Lot.objects.filter(material=material, quantity__gt=0)
        .select_related("movement__posting__delivery__supplier")
        .order_by("on", "pk")
    )


def movements(posting: Posting) -> QuerySet[Movement]:
    return posting.movements.select_related("material").order_by("pk")


def value_moved(rows: Iterable[Movement]) -> Decimal:
    return sum((row.value for row in rows), Decimal(0))


def deliveries() -> QuerySet[Delivery]:
    """Every delivery with `total`, its landed value, newest first."""
    return (
        Delivery.objects.select_related("supplier", "posting__reversed_by")
        .annotate(total=Sum("posting__movements__value"))
        .order_by("-on", "-pk")
    )


def landed(delivery: Delivery) -> Landed:
    """The delivery's lines with their share of the carriage and the unit cost it gave."""
    rows = delivery.lines.select_related("movement__material").order_by("pk")
    lines = tuple(
        LandedLine(
            material=row.movement.material,
            movement=row.movement,
            packs=row.packs,
            pack_quantity=row.pack_quantity,
            pack_price=row.pack_price,
            goods=row.movement.value - row.carriage_share,
            carriage=row.carriage_share,
            value=row.movement.value,
        )
        for row in rows
    )
    return Landed(
        delivery=delivery,
        lines=lines,
        goods=sum((line.goods for line in lines), Decimal(0)),
        carriage=delivery.carriage,
        total=sum((line.value for line in lines), Decimal(0)),
    )


def suppliers() -> QuerySet[Supplier]:
    """Suppliers with how often and when they last delivered (what was taken back left out) and how many skins came."""
    standing = Q(deliveries__posting__reversed_by__isnull=True, deliveries__isnull=False)
    return Supplier.objects.annotate(
        brought=Count("deliveries", filter=standing, distinct=True),
        last=Max("deliveries__on", filter=standing),
        hides=Count("skins", distinct=True),
    ).order_by("name")


def supplier_names() -> list[str]:
    return list(Supplier.objects.order_by("name").values_list("name", flat=True))


def places() -> QuerySet[Place]:
    """Places with how many materials and unfinished skins are there."""
    return Place.objects.annotate(
        goods=Count("materials", distinct=True),
        hides=Count("skins", filter=Q(skins__stage__in=ALIVE), distinct=True),
    ).order_by("name")
