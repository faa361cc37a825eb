"""The upper floor: recipes, batches, labour, cost of a piece, prices."""

from django.apps import AppConfig


class CostingConfig(AppConfig):
    name = "costing"
    verbose_name = "Costing"

    def ready(self) -> None:
        # Models exist only from here on.
        from costing.make.cost import services as cost
        from costing.make.finishing import services as finishing
        from costing.sell.payments import selectors as payments
        from inventory.base.accounting import services as accounting
        from inventory.skins import services as skins

        skins.described.connect(cost.skin_described, dispatch_uid="late costs follow a skin put right")
        skins.described.connect(finishing.skin_described, dispatch_uid="a joined piece keeps one owner")
        accounting.money_sought.connect(payments.holds_money, dispatch_uid="money up here keeps the currency")
