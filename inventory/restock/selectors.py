"""How full the shelf is and how long it lasts, by own average use only; what planned batches need is joined upstairs."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Max, Min

from inventory import money, units
from inventory.ledger import selectors as ledger
from inventory.ledger.costflow import Balance
from inventory.ledger.models import Kind, Movement
from inventory.materials.models import Material
from inventory.money import ZERO
from inventory.restock import rules as restock


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
        exact = self.daily_use * 30 / units.ratio(unit)
        return f"{units.told(money.half_up(exact, two_figures(exact)), unit)} in 30 days"

    def words(self, unit: str) -> str:
        """The level said: what the drawn jar shows, for those who do not see it."""
        said = f"{self.filled} % of this year's highest stock"
        return said if self.need is None else f"{said}; reorder point {about(self.order_level, unit)}"


def looks(materials: Iterable[Material], on: date) -> dict[int, Look]:
    """How each of the materials stands on `on`, by primary key. Three queries, however many there are."""
    rows = list(materials)
    supplies = supplied({row: row.on_hand for row in rows}, on)
    window = Movement.objects.filter(material__in=rows, on__gt=on - timedelta(days=restock.WINDOW_DAYS))
    fullest = dict(window.order_by().values_list("material").annotate(Max("quantity_left")))
    return {row.pk: _look(supplies[row.pk], max(row.on_hand, fullest.get(row.pk, ZERO)), on) for row in rows}


def supplied(on_hand: Mapping[Material, Decimal], on: date) -> dict[int, restock.Supply]:
    """By primary key: what is there of a material, its own average use up to `on`, and how it is bought. Two queries.

    Used is what was put in work or left with sales; reversals cancel.
    """
    moved = Movement.objects.filter(material__in=on_hand).order_by()
    used = ledger.sums(
        moved.filter(kind__in=[Kind.USE, Kind.SOLD], on__gt=on - timedelta(days=restock.WINDOW_DAYS), on__lte=on),
        "material",
    )
    first = dict(moved.values_list("material").annotate(Min("on")))
    return {
        row.pk: restock.Supply(
            on_hand=there,
            daily_use=restock.average_daily(-used.get(row.pk, Balance()).quantity, first.get(row.pk, on), on),
            lead_days=row.lead_days,
            safety_days=row.safety_days,
            pack=row.pack_quantity,
            shelf_life_days=row.shelf_life_days,
        )
        for row, there in on_hand.items()
    }


def _look(supply: restock.Supply, most: Decimal, on: date) -> Look:
    level = money.half_up(supply.daily_use * (supply.lead_days + supply.safety_days), 3)
    return Look(
        outlook=restock.outlook(supply, [], on),
        daily_use=supply.daily_use,
        fullest=most,
        filled=_percent(supply.on_hand, most),
        order_level=level,
        need=_percent(min(level, most), most) if level and most else None,
    )


def about(amount: Fraction | Decimal, unit: str) -> str:
    """A worked-out amount (base units) in `unit`, rounded up to two figures: an order level of 0.067068 kg says no more
    than 0.068 kg, and rounding down would order late.

    >>> about(Decimal("67.068"), "kg"), about(Decimal("0.477"), "piece"), about(Decimal(120400), "kg")
    ('0.068 kg', '1 pc', '121 kg')
    """
    exact = Fraction(amount) / units.ratio(unit)
    places = 0 if unit == "piece" else two_figures(exact)
    return units.told(money.ceil_to(exact, places), unit)


def two_figures(exact: Fraction) -> int:
    """The places that show two figures of a number: one for 3.4, two for 0.34, none from 10 on; six at most.

    >>> two_figures(Fraction(17, 5)), two_figures(Fraction(17, 50)), two_figures(Fraction(34))
    (1, 2, 0)
    """
    return max(0, min(6, 1 - money.half_up(exact, 6).adjusted()))


def _percent(part: Decimal, whole: Decimal) -> int:
    return int(money.half_up(Fraction(100) * Fraction(part) / Fraction(whole), 0)) if whole else 0
