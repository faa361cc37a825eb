"""The upper floor: recipes, batches, labour, cost of a piece, prices."""

from typing import TYPE_CHECKING

from django.apps import AppConfig
from django.db import connection
from django.db.models.signals import post_migrate

from costing.make.cost.rates.signals import changed
from inventory.base import signals

if TYPE_CHECKING:
    from django.db.migrations import Migration

# What this floor hears, who answers, and what holds by that.
ANSWERS = (
    (signals.described, "costing.make.cost.services.skin_described", "late costs follow a skin put right"),
    (signals.described, "costing.make.finishing.services.skin_described", "a joined piece keeps one owner"),
    (changed, "costing.make.cost.services.rates_changed", "what frames cost follows the rates"),
    (signals.money_sought, "costing.sell.payments.selectors.holds_money", "money up here keeps the currency"),
    (signals.money_sought, "costing.sell.accounts.selectors.holds_money", "accounts keep the currency"),
    (signals.reversing, "costing.sell.bills.services.refuse_paid", "what is paid is not reversed"),
    (signals.needs_sought, "costing.make.foresight.selectors.needed", "what the shed asks of the shelf"),
    (signals.uses_sought, "costing.make.foresight.selectors.used", "what the shed took from the shelf"),
)


class CostingConfig(AppConfig):
    name = "costing"
    verbose_name = "Costing"

    def ready(self) -> None:
        # Models exist only from here on.
        from costing.report.audit import contents
        from inventory.base.chain import services as chain

        for signal, by, why in ANSWERS:
            signals.answered(signal, by, why=why)
        chain.chained(contents.KINDS)
        post_migrate.connect(_brought_up, sender=self)


def _brought_up(plan: "list[tuple[Migration, bool]] | None" = None, **_signal: object) -> None:
    """After `migrate`, once nothing is left to apply: figures that only the program itself can work out for older rows."""
    # Models exist only from here on; the executor is loaded by `migrate` alone.
    from django.db.migrations.executor import MigrationExecutor

    from costing.make.cost import services as cost
    from inventory.base.chain import services as chain

    if plan is None:
        return
    if not (left := MigrationExecutor(connection)).migration_plan(left.loader.graph.leaf_nodes()):
        cost.fill_late()
        chain.adopt()
