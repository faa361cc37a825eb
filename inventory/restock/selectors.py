"""How full the shelf is and how long it lasts, by own average use; what planned batches need is joined upstairs."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Max, Min, Q, Sum

from inventory import money, units
from inventory.ledger.models import Kind, Movement
from inventory.materials.models import Material
from inventory.restock import rules as restock

WINDOW_DAYS = 365
LEAST_WINDOW_DAYS = 30


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
        said = f"{self.filled} % of this year's highest stock"
        return said if self.need is None else f"{said}; reorder point {about(self.order_level, unit)}"


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
