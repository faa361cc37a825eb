"""The ground floor: materials, the stock ledger, skins, articles, places."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    name = "inventory"
    verbose_name = "Inventory"

    def ready(self) -> None:
        # Models exist only from here on.
        from inventory.base import signals
        from inventory.base.accounting import contents
        from inventory.base.chain import services as chain

        signals.answered(
            signals.money_sought, "inventory.orders.selectors.holds_money", why="what is to be paid keeps the currency"
        )
        chain.chained(contents.KINDS)
