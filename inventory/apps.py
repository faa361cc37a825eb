"""The ground floor: materials, the stock ledger, skins, articles, places."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    name = "inventory"
    verbose_name = "Inventory"

    def ready(self) -> None:
        # Models exist only from here on.
        from inventory.base.accounting import contents, services as accounting
        from inventory.base.chain import services as chain
        from inventory.orders import selectors as orders

        accounting.money_sought.connect(orders.holds_money, dispatch_uid="what is to be paid keeps the currency")
        chain.chained(contents.KINDS)
