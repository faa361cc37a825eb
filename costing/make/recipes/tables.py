"""The list of recipes."""

from __future__ import annotations

import django_tables2 as tables

from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger, TagColumn


class RecipeTable(Ledger):
    caption = "Recipes"

    code = TagColumn("recipe", verbose_name="Recipe")
    name = tables.Column(verbose_name="For", default="–", order_by=("name", "code"))
    method = tables.Column(attrs=FAR, order_by=("method", "code"))
    last = tables.Column(verbose_name="Version", attrs=NUMBER, order_by=("last", "code"))
    used = tables.Column(verbose_name="Batches", attrs=FAR_NUMBER, order_by=("used", "code"))

    class Meta:
        empty_text = "No recipe fits that. Search for less, or show all."
