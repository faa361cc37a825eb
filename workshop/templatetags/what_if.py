"""The question “what if” on pages of the floors below, which know neither recipes nor batches."""

from typing import Any

from django import template

from costing.make.recipes import selectors as recipes
from inventory.models import Material

register = template.Library()


@register.inclusion_tag("workshop/what_if/one_more_batch.html")
def one_more_batch(material: Material) -> dict[str, Any]:
    """A small form that asks what one more batch of a recipe with this material would do; nothing where no recipe has it."""
    versions = recipes.current().filter(lines__material=material).distinct()
    return {"material": material, "recipes": [(row.recipe.code, recipes.label(row.recipe)) for row in versions]}
