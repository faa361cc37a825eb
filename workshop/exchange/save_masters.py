"""Rows of what stands before any event: settings, suppliers, places, channels, materials, recipes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from operator import attrgetter
from typing import TypeVar

from django.db.models import Model

from costing.make.cost.rates import selectors as rates
from costing.make.cost.rates.models import EVER
from costing.models import Channel, RecipeLine, RecipeVersion
from inventory.base import selectors as workshop
from inventory.models import Article, Material, Place, Skin, Supplier
from workshop.exchange import cells

Cells = dict[str, str]


FirstPlace = Callable[[Article | Skin | Material], str]


M = TypeVar("M", bound=Model)


def by(rows: Iterable[M], *names: str) -> list[M]:
    """Sorted here and not by the database, whose order of letters differs from one to the next."""
    return sorted(rows, key=attrgetter(*names))


def settings() -> Iterator[Cells]:
    """With the rates that hold before any of `rates.csv`."""
    row, cost = workshop.current(), rates.at(EVER)
    values = {
        "name": row.name,
        "maker": row.maker,
        "postal_address": row.postal_address,
        "electronic_address": row.electronic_address,
        "currency": row.currency,
        "cost_flow": row.cost_flow,
        "wage_per_hour": cells.coins(cost.wage_per_hour),
        "overhead_per_hour": cells.coins(cost.overhead_per_hour),
        "frame_wear": cells.coins(cost.frame_wear),
        "vat_percent": cells.number(cost.vat_percent),
        "price_step": cells.coins(cost.price_step),
        "closed_to": cells.day(row.closed_to),
        "today": cells.day(row.today),
    }
    return ({"key": key, "value": value} for key, value in values.items() if value)


def rates_by_day() -> Iterator[Cells]:
    """Those that begin on a day; others of the same day that they replaced are left out."""
    for held in reversed(rates.history().held()):
        if held.row.since > EVER and not held.replaced:
            yield {
                "since": cells.day(held.row.since),
                "wage_per_hour": cells.coins(held.row.wage_per_hour),
                "overhead_per_hour": cells.coins(held.row.overhead_per_hour),
                "frame_wear": cells.coins(held.row.frame_wear),
                "vat_percent": cells.number(held.row.vat_percent),
                "price_step": cells.coins(held.row.price_step),
            }


def suppliers() -> Iterator[Cells]:
    return ({"name": row.name, "note": row.note} for row in by(Supplier.objects.all(), "name"))


def places() -> Iterator[Cells]:
    for row in by(Place.objects.all(), "name"):
        yield {
            "name": row.name,
            "kind": row.kind,
            "litres": cells.measure(row.litres, "L"),
            "holds": "" if row.holds == 1 else str(row.holds),
        }


def channels() -> Iterator[Cells]:
    for row in by(Channel.objects.select_related("place"), "name"):
        yield {
            "name": row.name,
            "fee_percent": cells.number(row.fee_percent),
            "fixed_cost": cells.coins(row.fixed_cost),
            "usual": cells.yes_no(row.usual),
            "place": row.place.name if row.place else "",
        }


def materials(openings: dict[int, Cells], first_place: FirstPlace) -> Iterator[Cells]:
    """`openings`: the opening columns of each material that has an opening, by its id."""
    for row in by(Material.objects.select_related("place", "supplier"), "code"):
        yield {
            "code": row.code,
            "name": row.name,
            "substance": row.substance,
            "unit": row.unit,
            "density_g_per_ml": cells.number(row.density_g_per_ml),
            "pack_quantity": cells.measure(row.pack_quantity, row.unit),
            "lead_days": cells.number(row.lead_days),
            "safety_days": cells.number(row.safety_days),
            "shelf_life_days": cells.number(row.shelf_life_days),
            "hazard_note": row.hazard_note,
            "place": first_place(row),
            "supplier": row.supplier.name if row.supplier else "",
            **openings.get(row.pk, {}),
        }


def recipe_lines() -> Iterator[Cells]:
    """A version of steps alone has one row, which only describes it."""
    versions = RecipeVersion.objects.select_related("recipe").prefetch_related("lines__material")
    for version in by(versions, "recipe.code", "number"):
        described = {
            "recipe": version.recipe.code,
            "version": str(version.number),
            "name": version.recipe.name,
            "method": version.recipe.method,
            "litres_per_skin": cells.measure(version.litres_per_skin, "L"),
            "note": version.note,
        }
        lines = by(version.lines.all(), "position")
        for row in map(_line, lines) if lines else [{}]:
            yield {**described, **row}


def _line(line: RecipeLine) -> Cells:
    return {
        "material": line.material.code,
        **_amount(line),
        "basis": line.basis,
        "step": line.step,
        "day": str(line.day),
    }


def _amount(line: RecipeLine) -> Cells:
    if line.basis == "percent_of_weight":
        return {"amount": cells.number(line.amount), "unit": "%"}
    amount, unit = cells.typed(line.typed, line.amount, line.material)
    return {"amount": amount, "unit": unit}
