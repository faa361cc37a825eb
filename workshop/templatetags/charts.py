"""Drawings for the pages of the floors below: they hand in what they know, the roof draws it."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.safestring import SafeString

from costing.selectors import restock
from costing.selectors.prices import Price
from inventory.models import Material
from inventory.selectors import workshop
from workshop import drawings

register = template.Library()


@register.simple_tag
def cost_chart(price: Price) -> SafeString:
    """What a piece's full cost is made of."""
    return drawings.cost_parts(price)


@register.inclusion_tag("workshop/outlook.html")
def outlook(material: Material) -> dict[str, Any]:
    """How long a material lasts, by planned batches and usual use, with the drawing."""
    line = restock.outlooks(workshop.today(), [material])[0]
    return {"line": line, "chart": drawings.projected_stock(line)}
