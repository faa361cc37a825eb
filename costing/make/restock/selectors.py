"""What planned batches need, joined to what the shelf usually gives up: when to order, and why."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.make.batches.logs.selectors import logs
from costing.make.batches.models import Batch
from costing.make.batches.requirements.selectors import amounts
from costing.make.batches.stays.selectors import detailed
from inventory import formats, units
from inventory.ledger import selectors as ledger
from inventory.ledger.costflow import Balance
from inventory.models import Material
from inventory.restock import rules as restock
from inventory.restock.rules import Need, Outlook
from inventory.restock.selectors import supplied


def needs(on: date) -> dict[int, list[Need]]:
    """By material: what batches that are not done still need from `on`, on the day each addition falls due as they stand.

    Once a line of a batch in work was put in, its rest is no need any more: the maker used what it took.
    """
    batches = list(detailed().exclude(state=Batch.State.DONE).order_by("start", "pk"))
    written = logs(batches, on)
    ahead: dict[int, list[Need]] = defaultdict(list)
    for batch in batches:
        for amount in amounts(batch, on, written[batch.pk]):
            if amount.left and amount.waits(batch.state):
                ahead[amount.material.pk].append(Need(max(on, amount.due), amount.left, batch.number))
    return ahead


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
        ends = self.outlook.runs_out_on and formats.day(self.outlook.runs_out_on)
        return f"{have} left; at your usual use it lasts to {ends}."


def outlooks(on: date, materials: Iterable[Material] | None = None) -> list[Line]:
    """Every material's outlook on a day, those that must be ordered first at the top."""
    rows = list(Material.objects.all() if materials is None else materials)
    held = ledger.balances(on)
    ahead = needs(on)
    supplies = supplied({material: held.get(material.pk, Balance()).quantity for material in rows}, on)
    found = []
    for material in rows:
        supply, wanted = supplies[material.pk], tuple(ahead.get(material.pk, ()))
        found.append(Line(material, supply.on_hand, wanted, restock.outlook(supply, wanted, on)))
    return sorted(found, key=lambda line: (line.outlook.order_by or date.max, line.material.name))


def alerts(on: date) -> list[Line]:
    """Only what must be ordered soon or is short for a plan."""
    return [line for line in outlooks(on) if line.outlook.alert or line.outlook.short]
