"""Loading what stands before any event: the workshop's own settings, suppliers, places, channels, materials, recipes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields
from decimal import Decimal
from typing import Any

from costing.make.cost.rates import services as rates
from costing.make.recipes import services as recipes
from costing.models import Series, Terms
from costing.sell.errors import SeriesRefused
from costing.sell.pricing.channels import services as channels
from costing.sell.sales.numbering import services as series
from costing.sell.sales.terms import selectors as papers
from costing.sell.sales.terms import services as terms
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.materials import services as materials
from inventory.places import services as places
from inventory.suppliers import services as suppliers
from workshop.exchange.columns import Column
from workshop.exchange.desk import Desk
from workshop.exchange.files import SETTINGS
from workshop.exchange.files_selling import TERMS
from workshop.exchange.load_work import kind_by_words
from workshop.exchange.parsing import Row

_LINE = ("material", "amount", "basis")


LAST = ("closed_to", "today")


_TERM_FIELDS = {field.name for field in Terms._meta.get_fields()}


_RATES = ("wage_per_hour", "overhead_per_hour", "frame_wear", "vat_percent", "price_step")


def load(desk: Desk) -> None:
    load_settings(desk)
    load_suppliers(desk)
    load_places(desk)
    load_channels(desk)
    load_materials(desk)
    load_recipes(desk)


def load_settings(desk: Desk) -> None:
    """All but the two that would stand in the way of the events: they come last."""
    workshop.set_up()  # the row itself: a workshop that was loaded is set up, also when the file says nothing of it
    if desk.rows("rates.csv") or any(row["key"] in _RATES for row in desk.rows("workshop.csv")):
        rates.clear()  # what was set up before would hold beside them
    seen: dict[str, int] = {}
    runs: list[Row] = []
    for row in desk.rows("workshop.csv"):
        key = row["key"]
        if key in seen:
            desk.complain(row, f"It is in row {seen[key]} already. Each key stands once.", "key")
        elif _series_of(key):
            runs.append(row)
        elif key not in LAST:
            with desk.writing(row):
                set_one(row)
        seen[key] = row.number
    if runs:
        set_series(desk, runs)
    load_rates(desk)


def load_rates(desk: Desk) -> None:
    """Those of the settings hold for all days before the first of these; an empty cell is as it was before that day."""
    rows = desk.rows("rates.csv")
    if rows:
        with desk.checking(rows[0]):
            rates.set_rates()  # so that the first of these begins on its own day, also where the settings name no rates
    seen: dict[str, int] = {}
    for row in rows:
        if row.key() in seen:
            desk.complain(row, f"It is in row {seen[row.key()]} already. Each day stands once.", "since")
            continue
        seen[row.key()] = row.number
        with desk.writing(row):
            given = {name: row[name] for name in _RATES if row[name] is not None}
            rates.set_rates(since=row["since"], **given)


def load_last(desk: Desk) -> None:
    """The closed period and the pinned day, when everything else stands."""
    for row in desk.rows("workshop.csv"):
        if row["key"] in LAST:
            with desk.writing(row):
                set_one(row)


def set_one(row: Row) -> None:
    key: str = row["key"]
    value = _value(SETTINGS[key], row["value"])
    if key in _RATES:
        rates.set_rates(**{key: _needed(value)})
    elif key == "closed_to":
        workshop.close_books(to=value)
    elif key == "today":
        workshop.pin_today(on=value)
    elif key in TERMS:
        set_term(key, value)
    elif key in ("currency", "cost_flow"):
        workshop.set_up(by=None, **{key: _needed(value)})
    else:
        workshop.set_up(by=None, **{key: value or ""})


def set_series(desk: Desk, rows: Sequence[Row]) -> None:
    """How the series are written, each before it has a paper. Judged together: two may have changed places."""
    there = {row.kind: (row.prefix, row.digits) for row in Series.objects.all()}
    written: dict[str, tuple[str, int]] = {}
    for row in rows:
        with desk.writing(row):
            kind, _, part = row["key"].rpartition("_")
            value = _value(SETTINGS[row["key"]], row["value"])
            prefix, digits = written.get(kind) or there.get(kind) or (series.USUAL[Series.Kind(kind)], series.DIGITS)
            written[kind] = (value or "", digits) if part == "prefix" else (prefix, _needed(value))
    try:
        if written:
            series.change_all(written=written)
    except SeriesRefused as refusal:
        named = [row for row in rows if row["key"] == f"{refusal.kind}_{refusal.field}"]
        desk.complain((named or list(rows))[-1], str(refusal), "value")


def _series_of(key: str) -> str:
    """The kind of series that a key writes: invoice_prefix -> invoice; empty for other keys."""
    kind, _, part = key.rpartition("_")
    return kind if part in ("prefix", "digits") and kind in Series.Kind.values else ""


def set_term(key: str, value: Any) -> None:
    """One of the terms, the others as they stand."""
    stands = papers.terms()
    now = {name: getattr(stands, name) for name in TERMS if name in _TERM_FIELDS}
    now |= {name: Decimal(now[name]) for name in ("deposit_percent", "storage_per_day")}  # plain defaults until saved
    terms.set_terms(**{**now, key: (value or "") if isinstance(now[key], str) else _needed(value)})


def _value(column: Column, cell: str) -> Any:
    try:
        return column.read(cell) if cell else None
    except Refused as refusal:
        raise Refused(refusal.message, field="value") from refusal


def _needed(value: Any) -> Any:
    if value is None:
        raise Refused("The value is missing. Fill it in, or take the row out.", field="value")
    return value


def load_suppliers(desk: Desk) -> None:
    for row in desk.rows("suppliers.csv"):
        with desk.writing(row):
            supplier = suppliers.named(name=row["name"])
            if row["note"]:
                suppliers.note(supplier=supplier, text=row["note"])


def load_places(desk: Desk) -> None:
    for row in desk.rows("places.csv"):
        with desk.writing(row):
            desk.places[row["name"]] = places.create(
                name=row["name"], kind=row["kind"], litres=row["litres"], holds=row["holds"]
            )


def load_channels(desk: Desk) -> None:
    for row in desk.rows("channels.csv"):
        with desk.writing(row):
            channel = channels.save(
                name=row["name"], fee_percent=row["fee_percent"], fixed_cost=row["fixed_cost"], usual=row["usual"]
            )
            if place := desk.place(row):
                channels.set_place(channel=channel, place=place)
            desk.channels[row["name"]] = channel


def load_materials(desk: Desk) -> None:
    for row in desk.rows("materials.csv"):
        with desk.writing(row):
            details = materials.Details(
                name=row["name"],
                unit=row["unit"],
                substance=row["substance"],
                density_g_per_ml=row["density_g_per_ml"],
                pack_quantity=row["pack_quantity"],
                lead_days=row["lead_days"],
                safety_days=row["safety_days"],
                shelf_life_days=row["shelf_life_days"],
                hazard_note=row["hazard_note"],
                supplier=desk.supplier(row),
                place=desk.place(row),
            )
            desk.materials[row["code"]] = materials.create(code=row["code"], details=details)


def load_recipes(desk: Desk) -> None:
    """Rows of one recipe and version are its lines in order; what describes the version may stand on its first row only.

    A version of steps alone has one row, without a material. Its steps are written with it: both are frozen together.
    """
    steps = _steps(desk)
    for key, rows in _by_version(desk.rows("recipes.csv")).items():
        bare = key in steps and len(rows) == 1 and not any(rows[0][name] for name in _LINE)
        lines = [] if bare else [line for row in rows if (line := _line(desk, row))]
        if (len(lines) < len(rows) and not bare) or not _agree(desk, rows):
            continue
        first = rows[0]
        with desk.writing(*rows, count=len(lines)):
            desk.refuse_spoiled(first, "steps.csv")
            desk.versions[key] = recipes.write(
                code=first["recipe"],
                number=first["version"],
                name=first["name"],
                method=first["method"],
                litres_per_skin=first["litres_per_skin"],
                note=first["note"],
                lines=lines,
                steps=steps.get(key, ()),
            )
            if key in steps:
                desk.written["steps"] += len(steps[key])
    for row in desk.rows("steps.csv"):
        if row.key() not in desk.versions:
            with desk.checking(row):
                desk.refuse_spoiled(row)
                desk.version(row)


def _by_version(rows: Iterable[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in sorted(rows, key=lambda row: (row["recipe"], row["version"], row.number)):
        found.setdefault(row.key(), []).append(row)
    return found


def _of_step(row: Row) -> dict[str, Any]:
    found = {field.name: row[field.name] for field in fields(recipes.Step)}
    return {**found, "kind": row["kind"] or kind_by_words(row["task"] or row["name"])}


def _steps(desk: Desk) -> dict[str, list[recipes.Step]]:
    """The steps of each version. A bad one is named by its own row, and its version is not judged then."""
    found: dict[str, list[recipes.Step]] = {}
    rows_of: dict[tuple[str, str], int] = {}
    for row in desk.rows("steps.csv"):
        with desk.checking(row):
            step = recipes.checked(recipes.Step(**_of_step(row)))
            earlier = rows_of.setdefault((row.key(), step.name.casefold()), row.number)
            if earlier != row.number:
                raise Refused(f"It is in row {earlier} already. Give each step a name of its own.", field="name")
            found.setdefault(row.key(), []).append(step)
    return found


def _line(desk: Desk, row: Row) -> recipes.Line | None:
    """A line that can be weighed out; None when it was refused, so that each bad line is named by its own row."""
    with desk.checking(row):
        desk.refuse_spoiled(row)
        for name in _LINE:
            if not row[name]:
                raise Refused("It is missing and is needed.", field=name)
        material = desk.material(row)
        unit = row["unit"] or ("%" if row["basis"] == "percent_of_weight" else material.unit)
        if row["basis"] != "percent_of_weight":
            materials.to_base(material, row["amount"], unit)
        return recipes.Line(material, row["amount"], unit, row["basis"], row["step"], row["day"])
    return None


def _agree(desk: Desk, rows: Sequence[Row]) -> bool:
    first = rows[0]
    if not first["method"]:
        desk.complain(first, "It is missing. The first row of a recipe's version names it.", "method")
        return False
    bad = [
        (row, column)
        for row in rows[1:]
        for column in ("name", "method", "litres_per_skin", "note")
        if row[column] not in (first[column], None, "")
    ]
    for row, column in bad:
        desk.complain(row, f"It differs from row {first.number}. One version has one {column}.", column)
    return not bad
