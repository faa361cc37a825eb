"""The upper floor: recipes, batches, labour, cost of a piece, prices."""

from django.apps import AppConfig
from django.db import connection
from django.db.migrations import Migration
from django.db.migrations.executor import MigrationExecutor
from django.db.models.signals import post_migrate


class CostingConfig(AppConfig):
    name = "costing"
    verbose_name = "Costing"

    def ready(self) -> None:
        # Models exist only from here on.
        from costing.make.cost import services as cost
        from costing.make.cost.rates import services as rates
        from costing.make.finishing import services as finishing
        from costing.make.foresight import selectors as plans
        from costing.report.audit import contents
        from costing.sell.accounts import selectors as accounts
        from costing.sell.bills import services as bills
        from costing.sell.payments import selectors as payments
        from inventory.base import services as entries
        from inventory.base.accounting import services as accounting
        from inventory.base.chain import services as chain
        from inventory.foresight import past, selectors as foresight
        from inventory.skins import services as skins

        skins.described.connect(cost.skin_described, dispatch_uid="late costs follow a skin put right")
        skins.described.connect(finishing.skin_described, dispatch_uid="a joined piece keeps one owner")
        rates.changed.connect(cost.rates_changed, dispatch_uid="what frames cost follows the rates")
        accounting.money_sought.connect(payments.holds_money, dispatch_uid="money up here keeps the currency")
        accounting.money_sought.connect(accounts.holds_money, dispatch_uid="accounts keep the currency")
        entries.reversing.connect(bills.refuse_paid, dispatch_uid="what is paid is not reversed")
        chain.chained(contents.KINDS)
        foresight.needs_sought.connect(plans.needed, dispatch_uid="what the shed asks of the shelf")
        past.uses_sought.connect(plans.used, dispatch_uid="what the shed took from the shelf")
        post_migrate.connect(_brought_up, sender=self)


def _brought_up(plan: list[tuple[Migration, bool]] | None = None, **_signal: object) -> None:
    """After `migrate`, once nothing is left to apply: figures that only the program itself can work out for older rows."""
    # Models exist only from here on.
    from costing.make.cost import services as cost
    from inventory.base.chain import services as chain

    if plan is None:
        return
    if not (left := MigrationExecutor(connection)).migration_plan(left.loader.graph.leaf_nodes()):
        cost.fill_late()
        chain.adopt()
