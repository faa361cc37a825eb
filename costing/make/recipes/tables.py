"""The list of recipes."""

import django_tables2 as tables

from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, ListTable, TagColumn


class RecipeTable(ListTable):
    caption = "Recipes"

    code = TagColumn("recipe", "Recipe")
    name = tables.Column("For", default="–", order_by=("name", "code"))
    method = tables.Column(attrs=FAR, order_by=("method", "code"))
    last = tables.Column("Version", attrs=NUMBER, order_by=("last", "code"))
    used = tables.Column("Batches", attrs=FAR_NUMBER, order_by=("used", "code"))

    class Meta:
        empty_text = "No recipe matches. Search for less, or clear the filter."
