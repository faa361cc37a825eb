"""Reads of the needs ahead: what batches still need of each material, and when its shelf runs out."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Min, Sum

from costing.make.batches.models import Batch
from costing.make.batches.requirements.selectors import amounts, used
from costing.make.batches.stays.selectors import detailed
from inventory import units
from inventory.ledger import selectors as ledger
from inventory.models import Kind, Material, Movement
from inventory.restock import rules as restock
from inventory.restock.rules import Need, Outlook


def needs(on: date) -> dict[int, list[Need]]:
    """By material: what batches that are not done still need from `on`, on the day each recipe line falls due.

    Once a line of a batch in work was put in, its rest is no need any more: the maker used what it took.
    """
    batches = list(detailed().exclude(state=Batch.State.DONE).order_by("start", "pk"))
    taken = used(batches, on)
    ahead: dict[int, list[Need]] = defaultdict(list)
    for batch in batches:
        for amount in amounts(batch, taken=taken):
            if amount.left and amount.waits(batch.state):
                day = max(on, batch.start + timedelta(days=amount.line.day))
                ahead[amount.material.pk].append(Need(day, amount.left, batch.number))
    return ahead


WINDOW_DAYS = 365
LEAST_WINDOW_DAYS = 30


@dataclass(frozen=True)
class Line:
    """One material's outlook with what it was worked out from. Quantities in the base unit."""

    material: Material
    on_hand: Decimal
    needs: tuple[Need, ...]
    outlook: Outlook

    def words(self) -> str:
        """The alert in one sentence for people."""
        unit = self.material.unit
        have = units.show(self.on_hand, unit)
        if self.outlook.reason == "planned":
            who = ", ".join(dict.fromkeys(need.why for need in self.needs))
            need = units.show(self.outlook.needed, unit)
            verb = "need" if ", " in who else "needs"
            return f"{have} left; {who} {verb} {need}, {units.show(self.outlook.short, unit)} short."
        return f"{have} left; at your usual use it lasts to {self.outlook.runs_out_on}."


def outlooks(on: date, materials: Iterable[Material] | None = None) -> list[Line]:
    """Every material's outlook on a day, those that must be ordered first at the top."""
    rows = list(Material.objects.all() if materials is None else materials)
    held = ledger.balances(on)
    ahead = needs(on)
    used = _uses(on)
    found = []
    for material in rows:
        on_hand = held.get(material.pk, (Decimal(0), Decimal(0)))[0]
        wanted = tuple(ahead.get(material.pk, ()))
        uses, since = used.get(material.pk, ([], on))
        # A shelf younger than the window must not look thrifty: its use is spread over the days it has existed.
        window = min(WINDOW_DAYS, max(LEAST_WINDOW_DAYS, (on - since).days + 1))
        supply = restock.Supply(
            on_hand=on_hand,
            daily_use=max(restock.average_daily(uses, on, window), Fraction(0)),
            lead_days=material.lead_days,
            safety_days=material.safety_days,
            pack=material.pack_quantity,
            shelf_life_days=material.shelf_life_days,
        )
        found.append(Line(material, on_hand, wanted, restock.outlook(supply, wanted, on)))
    return sorted(found, key=lambda line: (line.outlook.order_by or date.max, line.material.name))


def alerts(on: date) -> list[Line]:
    """Only what must be ordered soon or is short for a plan."""
    return [line for line in outlooks(on) if line.outlook.alert or line.outlook.short]


def _uses(on: date) -> dict[int, tuple[list[tuple[date, Decimal]], date]]:
    """By material: its uses in the window as (day, quantity), reversals netted, and the first day it ever moved."""
    rows = (
        Movement.objects.filter(kind__in=[Kind.USE, Kind.SOLD], on__gt=on - timedelta(days=WINDOW_DAYS), on__lte=on)
        .order_by()
        .values("material", "on")
        .annotate(moved=Sum("quantity"))
    )
    uses: dict[int, list[tuple[date, Decimal]]] = defaultdict(list)
    for row in rows:
        uses[row["material"]].append((row["on"], -row["moved"]))
    first = dict(Movement.objects.order_by().values_list("material").annotate(first=Min("on")))
    return {pk: (days, first[pk]) for pk, days in uses.items()}
