"""Drawings for the pages of the floors below: they hand in what they know, the roof draws it."""

from typing import Any

from django import template
from django.utils.safestring import SafeString

from costing.make.batches.requirements.selectors import ShelfAllows
from costing.make.foresight import selectors as foresight
from costing.make.readings.drying.rules import DAMP_FROM, DAMP_UNTIL
from costing.models import Batch
from costing.report.skins import selectors as skins
from costing.sell.pricing.selectors import Price
from inventory.foresight.advice import Advice
from inventory.foresight.selectors import Outlook
from inventory.models import Material, Skin
from inventory.money import half_up
from workshop.documents.charts import on_pages as drawings

register = template.Library()

# So many drawings stand open on a batch's page; of more, each opens by a tap.
SHOWN_OPEN = 1
DAMP = {"damp_from": half_up(100 * DAMP_FROM, 0), "damp_until": half_up(100 * DAMP_UNTIL, 0)}


@register.simple_tag
def cost_chart(price: Price) -> SafeString:
    """What a piece's full cost is made of."""
    return drawings.cost_parts(price)


@register.inclusion_tag("workshop/documents/ahead.html")
def stock_ahead(outlook: Outlook, advice: Advice) -> dict[str, Any]:
    """How long a material lasts: drawn, and in figures."""
    return {"ahead": drawings.ahead(outlook, advice), "material": outlook.material}


@register.simple_tag
def shelf_allows(material: Material) -> list[tuple[str, ShelfAllows]]:
    """By recipe that takes the material into a bath, in its newest version: the largest bath that the shelf allows."""
    return foresight.allowed_baths(material)


@register.inclusion_tag("workshop/documents/drying.html")
def drying(skin: Skin) -> dict[str, Any]:
    """How a skin dries: drawn, in figures, or what is missing. Nothing of a skin that never came so far."""
    row = skins.dryings([skin])[0]
    asked = bool(row.rows) or skin.stage == Skin.Stage.IN_WORK
    return {"rows": [_drawn(row)] if asked else [], "one": True, **DAMP}


@register.inclusion_tag("workshop/documents/drying.html")
def drying_of_batch(batch: Batch) -> dict[str, Any]:
    """The same of all skins of a batch (its stays and their skins at hand) that were weighed."""
    stays = list(batch.stays.all())
    here = [stay.skin for stay in stays if stay.left_on is None] or [stay.skin for stay in stays]
    rows = [_drawn(row) for row in skins.dryings(sorted(here, key=lambda skin: skin.tag)) if row.rows]
    return {"rows": rows, "one": False, "batch": batch if rows else None, "open": len(rows) <= SHOWN_OPEN, **DAMP}


def _drawn(row: skins.Drying) -> dict[str, Any]:
    course = row.course
    figures = [(each, None if course is None else course.water_left(each.weight)) for each in row.rows if each.weight]
    return {"row": row, "chart": drawings.drying(row), "figures": figures, "ahead": skins.ahead(row)}
