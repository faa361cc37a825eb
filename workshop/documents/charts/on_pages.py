"""Charts as pages show them: the paper kit's drawings, turned into SVG that a strict content policy lets through.

A page without a chart does not wait for the drawing library: each function imports what it draws with.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import SafeString, mark_safe

from costing.report.skins.selectors import Drying
from costing.sell.pricing.selectors import Price
from inventory import formats, money, units
from inventory.base import selectors as workshop
from inventory.base.labels.lengths import Ruler
from inventory.base.labels.rules import Sheet
from inventory.foresight.advice import Advice
from inventory.foresight.selectors import Outlook
from inventory.report import Chart
from workshop.documents.charts.course import Row, course, rows
from workshop.documents.kit.wording import weekday

METRIC = ("g", "kg")
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def _svg(drawing: object, title: str, desc: str, ident: str) -> SafeString:
    """The writer escapes every text it is given, so its output is safe to set into a page."""
    from workshop.documents.charts import svg

    return mark_safe(svg.to_svg(drawing, title, desc, ident))  # noqa: S308


def _desc(rows: Iterable[tuple[str, Decimal]]) -> str:
    """Every figure of a chart in words, for who cannot see it."""
    currency = workshop.current().currency
    return "; ".join(f"{name} {money.show(value, currency)}" for name, value in rows)


def use_by_month(values: Mapping[int, Decimal]) -> SafeString:
    """Value used month by month (month numbers as `inventory.ledger.usage.selectors` counts them)."""
    from workshop.documents.charts import charts

    currency = workshop.current().currency
    rows = [(MONTHS[number % 12], money.half_up(value, workshop.places())) for number, value in values.items()]
    desc = _desc((f"{MONTHS[number % 12]} {number // 12}", value) for number, value in values.items())
    return _svg(charts.usage_by_month(rows, unit=currency, money=True), "Material used by month", desc, "use-by-month")


def cost_parts(price: Price) -> SafeString:
    """What the full cost of a piece is made of; parts of nothing are left out."""
    from workshop.documents.charts import charts

    cost, currency = price.cost, workshop.current().currency
    named = (
        ("Skin", cost.skin_price),
        ("Materials", cost.materials),
        ("Paid help", cost.paid_help),
        ("My time", cost.own_time),
        ("Overhead", cost.overhead),
        ("Frame wear", cost.frame_wear),
        ("Rounding", cost.left_over),
        ("Late costs", price.late_full),
    )
    rows = _apportioned([(name, value) for name, value in named if value], currency)
    drawing = charts.cost_parts(rows, unit=currency)
    return _svg(drawing, f"Full cost of {price.number} by part", _desc(rows), "cost-parts")


def per_hour(rows: Iterable[tuple[str, Decimal]], wage: Decimal) -> SafeString:
    """What an hour earned, each against the maker's wage."""
    from workshop.documents.charts import charts

    shown, unit = list(rows), f"{workshop.current().currency}/h"
    drawing = charts.bars(shown, unit=unit, money=True, mark=("your wage", wage) if wage else None)
    return _svg(drawing, "What an hour earned by method", _desc([*shown, ("your wage", wage)]), "per-hour")


def _apportioned(rows: list[tuple[str, Decimal]], currency: str) -> list[tuple[str, Decimal]]:
    """Parts in the currency's own places that add up to their sum in them; where one takes away, each by itself."""
    if not rows or min(value for _, value in rows) < 0:
        return [(name, money.round_money(value, currency)) for name, value in rows]
    values = [value for _, value in rows]
    shares = money.allocate(money.round_money(sum(values, money.ZERO), currency), values, money.digits(currency))
    return list(zip((name for name, _ in rows), shares, strict=True))


def steps(chart: Chart, title: str) -> SafeString:
    """How one sum comes to another."""
    from workshop.documents.charts import charts

    start, *between, end = chart.points
    drawing = charts.bridge(start, between, end, unit=workshop.current().currency)
    return _svg(drawing, title, _desc(chart.points), chart.name)


def bridge(chart: Chart) -> SafeString:
    """How the one profit comes to the other."""
    return steps(chart, "The two profits and the bridge between them")


def drying(row: Drying) -> SafeString:
    """How a skin dries and the days to soften it in; empty where its weighings tell no course."""
    course = row.course
    if course is None:
        return SafeString("")
    from workshop.documents.charts import drying as paper

    window = course.window
    unit = row.skin.weight_unit
    # Pounds become thousandths of a gram, which no scale of a shed tells.
    weighed = [(each.at, money.half_up(each.grams, 0)) for each in course.weighed]
    band = paper.Band(window.begins, window.ends, window.begins_g, window.ends_g)
    own = None if unit in METRIC else (units.label(unit), units.factor(unit))
    drawing = paper.drying(weighed, course.line, band, own=own, today=workshop.today())
    said = [(each.at, _weight(each.grams, unit)) for each in course.weighed]
    desc = "; ".join(f"{formats.day(at)} {at:%H:%M} {weight}" for at, weight in said)
    begins, ends = _weight(window.begins_g, unit), _weight(window.ends_g, unit)
    desc += f". Soften from {weekday(window.begins)} at {begins} to {weekday(window.ends)} at {ends}."
    return _svg(drawing, f"{row.skin.tag} drying: weight over days", desc, f"drying-{row.skin.pk}")


def label_sheet(sheet: Sheet, ruler: Ruler) -> SafeString:
    """A sheet of labels as it was measured; its description says every measure."""
    from workshop.documents.charts import label_sheet as paper

    return _svg(paper.draw(sheet, ruler), "The sheet of labels", paper.told(sheet, ruler), "label-sheet")


def _weight(grams: Decimal, unit: str) -> str:
    return units.told(money.half_up(grams, 0), "g") if unit in METRIC else units.show(grams, unit, "g")


@dataclass(frozen=True)
class Ahead:
    """How long a material lasts, drawn for a phone and for a desk, and the figures behind it."""

    narrow: SafeString
    wide: SafeString
    rows: list[Row]
    ordered: bool
    uncertain: bool


def ahead(outlook: Outlook, advice: Advice) -> Ahead | None:
    """A material's stock from today on, by plan and usual use, with what is ordered and advised; None: nothing ever is there."""
    from workshop.documents.charts import ahead as paper

    material, found = outlook.material, course(outlook, advice)
    if found.empty:
        return None
    last = formats.day(found.when(found.days))
    desc = f"{found.told}. The figures stand in a table below."
    narrow, wide = (
        _svg(
            paper.draw(found, width), f"{material.name} on the shelf until {last}", desc, f"ahead-{material.pk}-{name}"
        )
        for name, width in (("narrow", paper.PHONE), ("wide", paper.DESK))
    )
    return Ahead(narrow, wide, rows(found), bool(found.bare), found.uncertain)
