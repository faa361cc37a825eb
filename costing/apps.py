"""The upper floor: recipes, batches, labour, cost of a piece, prices."""

from django.apps import AppConfig


class CostingConfig(AppConfig):
    name = "costing"
    verbose_name = "Costing"
