"""What must be ordered, by when and how much, as plain data for JSON and in words. Numbers are strings."""

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from costing.make.errors import some
from costing.make.foresight import what_if
from costing.make.foresight.what_if import MOST_SKINS, Needs
from costing.make.recipes import selectors as recipes
from inventory import formats
from inventory.base import measures, selectors as workshop
from inventory.errors import Refused
from inventory.foresight import selectors as foresight, words
from inventory.foresight.advice import Advice, advices
from inventory.foresight.rules import SERVICE
from inventory.foresight.selectors import NO_EXTRA, Outlook
from inventory.foresight.snoozes import selectors as snoozes
from inventory.models import Material
from inventory.money import half_up
from workshop.answers.plain import Shape, amount, coins, shape

BANDS = {"p10": Fraction(1, 10), "p50": Fraction(1, 2), "p90": Fraction(9, 10)}
SHARE_PLACES = 3


def restock_answer(
    on: date, *, material: str = "", service: str = "", everything: bool = False, extra_batch: str = ""
) -> Shape:
    """What needs doing, or of the named material, or `everything`; each with its forecast from `on`. `extra_batch`: as if one more
    batch of a recipe were begun then, written R1:3 for three skins."""
    rows = [_material(material)] if material else None
    extra = _extra_batch(extra_batch, on) if extra_batch else None
    needs = extra.by_material if extra else NO_EXTRA
    found = foresight.outlooks(on, rows, service=_service(service), extra=needs)
    told = snoozes.apart(found, on)
    if not (material or everything):
        found = list(told.pressing)
    buys = advices(found)
    return {
        "on": on.isoformat(),
        "currency": workshop.current().currency,
        **({"extra": _extra(extra)} if extra else {}),
        "alerts": [_alert(each, buys[each.material.pk]) for each in found],
        "aside": [
            {"material": each.material.code, "name": each.material.name, **shape(held, "until", "reason")}
            for each, held in told.aside
        ],
    }


def _extra_batch(said: str, on: date) -> Needs:
    """One more batch, as R1:3 says it."""
    code, _, count = said.rpartition(":")
    if not code or not (count.isascii() and count.isdigit()) or len(count) > len(str(MOST_SKINS)):
        raise Refused(
            f"{said!r} is no further batch. Write the recipe and how many skins, from 1 to {MOST_SKINS}, as R1:3.",
            field="extra_batch",
        )
    version = recipes.current().filter(recipe__code__iexact=code).first()
    if version is None:
        known = some([row.recipe.code for row in recipes.current()]) or "none yet"
        raise Refused(f"There is no recipe {code}. Recipes: {known}.", field="extra_batch")
    return what_if.extra_batch(version, int(count), on)


def _extra(extra: Needs) -> Shape:
    return {
        "recipe": extra.version.recipe.code,
        "version": str(extra.version.number),
        "skins": str(extra.skins),
        "litres": f"{extra.litres.normalize():f}" if extra.litres else None,
        "missing": list(extra.missing),
        "assumed": list(extra.assumed),
    }


def _material(code: str) -> Material:
    row = foresight.shelf().filter(code__iexact=code).first()
    if row is None:
        raise Refused(f"There is no material {code}. `manage.py restock --all` lists every code.", field="material")
    return row


def _service(said: str) -> Fraction:
    """A share above 0 and below 1, as 0.95 or 95 %."""
    if not said:
        return SERVICE
    try:
        share = Decimal(said.removesuffix("%").strip())
        share = share / 100 if said.endswith("%") else share
        if not share.is_finite() or not 0 < share < 1:
            raise ValueError
    except (InvalidOperation, ValueError):
        raise Refused(
            f"{said!r} is no service level. Write how often an order should come in time, as 0.95 or 95%.",
            field="service",
        ) from None
    return Fraction(share)


def _alert(each: Outlook, buy: Advice) -> Shape:
    seen, material = each.forecast, each.material
    return {
        "material": material.code,
        "name": material.name,
        "on_hand": amount(seen.supply.on_hand, material),
        "unit": material.unit,
        "needed": amount(seen.needed, material),
        "short": amount(seen.short, material),
        **shape(seen, "runs_out_on", "order_by"),
        "packs": str(buy.lot.packs),
        "pack": amount(material.pack_quantity, material) if material.pack_quantity else None,
        "reason": words.reason(each),
        "state": str(seen.state),
        "action": words.action(each, buy),
        "overdue_days": str(seen.overdue_days),
        "risk": _share(seen.risk),
        "risk_in_a_week": _share(seen.risk_in_a_week),
        "service": _share(seen.service),
        "advice": _advice(buy, material),
        "band": _band(each),
        "demand": {"planned": amount(seen.needed, material), "usual": _usual(each)},
        "on_order": [_order(order, material) for order in seen.supply.coming],
        "reorder_point": amount(seen.reorder_point, material),
        "why": words.why(each),
    }


def _advice(buy: Advice, material: Material) -> Shape:
    return {
        "packs": str(buy.lot.packs),
        "quantity": amount(buy.lot.quantity, material),
        "cost": coins(buy.cost),
        "carriage": coins(buy.carriage),
        "supplier": buy.supplier.name if buy.supplier else None,
        "why": buy.lot.why,
    }


def _order(order: Any, material: Material) -> Shape:
    return {"order": order.order, "quantity": amount(order.quantity, material), **shape(order, "ordered", "due")}


def _band(each: Outlook) -> list[Shape]:
    """The stock of each day: what a tenth, half and nine tenths of the paths stay at or below, in the material's unit."""
    seen = each.forecast
    rows = seen.paths().bands(tuple(BANDS.values()))
    return [
        {
            "day": (seen.on + timedelta(days=day)).isoformat(),
            **{name: amount(value, each.material) for name, value in zip(BANDS, row, strict=True)},
        }
        for day, row in enumerate(rows)
    ]


def _usual(each: Outlook) -> str:
    """Usual use in 30 days, in the material's unit."""
    return amount(half_up(each.forecast.use.rate * words.MONTH, 3), each.material)


def _share(share: Fraction) -> str:
    return f"{half_up(share, SHARE_PLACES).normalize():f}"


def restock_lines(found: Shape) -> Iterable[str]:
    if extra := found.get("extra"):
        bath = f", {measures.bath(Decimal(extra['litres']))} of bath" if extra["litres"] else ""
        yield f"With one more batch by {extra['recipe']}, skins: {extra['skins']}{bath}. {' '.join(extra['assumed'])}"
        yield from (f"Not counted: {words}." for words in extra["missing"])
    if not found["alerts"]:
        besides = " besides what is set aside" if found["aside"] else ""
        yield f"Nothing runs out soon{besides} (as of {found['on']})."
    for alert in found["alerts"]:
        cost = alert["advice"]["cost"]
        about = f" About {cost} {found['currency']}." if cost and alert["advice"]["quantity"] != "0" else ""
        yield f"{alert['name']}: {alert['action']}. {alert['why']}{about}"
    for held in found["aside"]:
        yield f"Set aside until {formats.day(date.fromisoformat(held['until']))}: {held['name']}, {held['reason'].rstrip('.')}."
