"""The ground floor: materials, the stock ledger, skins, articles, places."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    name = "inventory"
    verbose_name = "Inventory"
