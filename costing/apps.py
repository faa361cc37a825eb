"""The upper floor: recipes, batches, labour, cost of a piece, prices."""

from django.apps import AppConfig


class CostingConfig(AppConfig):
    name = "costing"
    verbose_name = "Costing"

    def ready(self) -> None:
        # Models exist only from here on.
        from costing.services import currency, late, owners
        from inventory.services import skins, workshop

        skins.described.connect(late.skin_described, dispatch_uid="late costs follow a skin put right")
        skins.described.connect(owners.skin_described, dispatch_uid="a joined piece keeps one owner")
        workshop.money_sought.connect(currency.holds_money, dispatch_uid="money up here keeps the currency")
