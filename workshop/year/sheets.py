"""The year's results as sheets of typed cells: one source for the page's tables, JSON, CSV, the workbook and the paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from decimal import Decimal
from typing import Any

from costing.make.losses import rules as losses
from costing.report.losses import selectors as losses_read
from costing.report.valuation.stock_sheet import selectors as stock_sheet
from costing.report.year.profit.selectors import GROUPS
from costing.report.year.selectors import LookBack
from costing.sell.sales.lines.rules import PieceResult
from costing.sell.sales.lines.selectors import SoldLine
from inventory import money
from inventory.base import selectors as workshop
from inventory.money import ZERO
from workshop.year.columns import ASIS, COUNT, DAY, HOURS, MONEY, Cell, Column, Row, Sheet

STOCK_NAME, LOST_NAME = "stock", "losses"

EARNED = (
    Column("lines", "Lines", COUNT),
    Column("taken", "Taken", MONEY),
    Column("selling", "Selling costs", MONEY),
    Column("book", "Book cost", MONEY),
    Column("left", "Left", MONEY),
    Column("hours", "Hours", HOURS),
    Column("per_hour", "Per hour", MONEY),
    Column("against_full", "Against full", MONEY),
)

GROUPED = {
    "species": Column("species", "Species"),
    "method": Column("method", "Method"),
    "channel": Column("channel", "Channel"),
    "fair": Column("fair", "Fair"),
}

PIECES = (
    Column("piece", "Piece"),
    Column("papers", "Papers"),
    Column("on", "Day", DAY),
    *GROUPED.values(),
    Column("asked", "Asked", MONEY),
    Column("discount", "Discount", MONEY),
    *EARNED,
)

FAIRS = (
    Column("fair", "Fair"),
    Column("on", "Day", DAY),
    Column("takings", "Takings", MONEY),
    Column("goods", "Goods at book", MONEY),
    Column("costs", "Costs", MONEY),
    Column("left", "Left", MONEY),
    Column("stall_hours", "Stall hours", HOURS),
    Column("per_stall_hour", "Per stall hour", MONEY),
    Column("break_even", "Breaks even at", MONEY),
)

GIVEN = (
    Column("kind", "What"),
    Column("reason", "Reason"),
    Column("count", "How often", COUNT),
    Column("amount", "Amount", MONEY),
)

WAITED = (
    Column("piece", "Piece"),
    Column("what", "What"),
    Column("date_in", "Skin came", DAY),
    Column("finished_on", "Finished", DAY),
    Column("left_on", "Left", DAY),
    Column("to_finish", "Days to finish", COUNT),
    Column("days", "Days in all", COUNT),
    Column("hours", "Hours of hands", HOURS),
)

UNLOGGED = (
    Column("tag", "Skin"),
    Column("species", "Species"),
    Column("minutes", "Minutes", HOURS),
    Column("usual_low", "Least usual", HOURS),
)

STOCK = (
    Column("part", "Part"),
    Column("what", "What"),
    Column("quantity", "Quantity", ASIS),
    Column("unit", "Unit"),
    Column("place", "Place"),
    Column("value", "At cost", MONEY),
    Column("realisable", "Would bring", MONEY),
    Column("lower", "Lower of both", MONEY),
)

LOST = (
    Column("by", "By"),
    Column("of_what", "Which"),
    Column("lost", "Lost", COUNT),
    Column("of", "Of", COUNT),
    Column("percent", "Rate, %", ASIS),
)

SUMMARY = (Column("part", "Part"), Column("figure", "Figure"), Column("value", "Value", ASIS), Column("unit", "Unit"))


def sheets(found: LookBack) -> list[Sheet]:
    """All of them, the summary first."""
    grouped = [group_sheet(found, group, found.lines) for group in GROUPED]
    return [summary(found), piece_sheet(found, found.lines), *grouped, fairs(found), given(found), *hands(found)]


def group_sheet(found: LookBack, group: str, lines: Sequence[SoldLine]) -> Sheet:
    rows = tuple({group: name, **_earned(row)} for name, row in found.by(group, lines).items())
    return Sheet(f"by_{group}", f"By {group}", (GROUPED[group], *EARNED), rows)


def piece_sheet(found: LookBack, lines: Sequence[SoldLine]) -> Sheet:
    """One row for a thing, with all that was sold and credited of it."""
    mine: dict[str, list[SoldLine]] = {}
    for line in lines:
        mine.setdefault(GROUPS["piece"](line.sold), []).append(line)
    rows = tuple(_piece(mine[name], row) for name, row in found.by("piece", lines).items())
    return Sheet("pieces", "Pieces", PIECES, rows)


def _piece(lines: Sequence[SoldLine], earned: PieceResult) -> Row:
    first = lines[0]
    asked = [row.line for row in lines if row.sale.credits_id is None]
    return {
        "piece": first.sold.what,
        "papers": " ".join(dict.fromkeys(row.sale.number for row in lines)),
        "on": first.sale.on,
        **{group: GROUPS[group](first.sold) for group in GROUPED},
        "asked": sum((line.asked * line.quantity for line in asked), ZERO),
        "discount": sum((line.discount for line in asked), ZERO),
        **_earned(earned),
    }


def _earned(row: PieceResult) -> Row:
    return {column.key: getattr(row, {"lines": "count"}.get(column.key, column.key)) for column in EARNED}


def fairs(found: LookBack) -> Sheet:
    rows: list[Row] = [
        {
            "fair": row.fair.name,
            "on": row.fair.on,
            "takings": row.result.takings,
            "goods": row.result.goods,
            "costs": row.result.costs,
            "left": row.result.left,
            "stall_hours": money.half_up(row.day.stall_hours, 2),
            "per_stall_hour": row.result.per_stall_hour,
            "break_even": row.break_even,
        }
        for row in found.fairs
    ]
    return Sheet("fairs", "Fairs", FAIRS, tuple(rows))


def given(found: LookBack) -> Sheet:
    rows = tuple(_of(row, GIVEN) for row in found.given)
    return Sheet("given", "Let go, brought back, given", GIVEN, rows)


def hands(found: LookBack) -> list[Sheet]:
    waited = tuple(_of(row, WAITED) for row in found.hands.waited)
    few: list[Row] = [
        {
            "tag": row.tag,
            "species": row.species,
            "minutes": row.minutes,
            "usual_low": None if row.usual is None else money.half_up(row.usual.low, 1),
        }
        for row in found.hands.unlogged
    ]
    return [
        Sheet("waiting", "Waiting and hands", WAITED, waited),
        Sheet("unlogged", "Hours likely not written", UNLOGGED, tuple(few)),
    ]


def stock(found: LookBack) -> Sheet:
    """Each thing that was there at the year's end. Read anew, so for files only. A figure for `realisable` is a reference."""
    rows: list[Row] = [
        {
            "part": each.line.group.value,
            "what": each.line.what,
            "quantity": each.line.quantity,
            "unit": each.line.unit,
            "place": each.line.place,
            "value": each.value,
            "realisable": each.line.realisable,
            "lower": each.lower,
        }
        for each in stock_sheet.at(found.year.last).lines
    ]
    return Sheet(STOCK_NAME, f"Stock on {found.year.last}", STOCK, tuple(rows))


def lost() -> Sheet:
    """How often skins were lost, by step, species and supplier, over all years: one year says too little. For files only."""
    fates = losses_read.fates()
    tables = {
        "step": losses.by_stage(fates),
        "species": losses.by_species(fates),
        "supplier": losses.by_supplier(fates),
    }
    rows: list[Row] = [
        {
            "by": by,
            "of_what": name or "nobody named",
            "lost": rate.lost,
            "of": rate.of,
            "percent": money.half_up(rate.rate * 100, 1),
        }
        for by, found in tables.items()
        for name, rate in found.items()
    ]
    return Sheet(LOST_NAME, "Losses, all years", LOST, tuple(rows))


def _of(row: object, columns: Sequence[Column]) -> Row:
    return {column.key: getattr(row, column.key) for column in columns}


def summary(found: LookBack) -> Sheet:
    """The figures of the year, a row each: which part they belong to, what they are, how much."""
    currency = workshop.current().currency
    rows: list[Row] = []
    for part, figures in parts(found).items():
        places, unit = (2, "h") if part == "hours" else (found.places, currency)
        for name, value in figures.items():
            exact = None if value is None else money.half_up(value, places)
            rows.append({"part": part, "figure": name, "value": exact, "unit": unit})
    rows += _limit(found, currency)
    return Sheet("summary", f"Results {found.year.first.year}", SUMMARY, tuple(rows))


def _limit(found: LookBack, currency: str) -> list[Row]:
    """How turnover stands against the limit of the terms; nothing where none is set."""
    standing = found.limit
    if standing is None:
        return []
    values: list[tuple[str, Cell, str]] = [
        ("turnover", money.half_up(standing.turnover, found.places), currency),
        ("limit", money.half_up(standing.limit, found.places), currency),
        ("left", money.half_up(standing.left, found.places), currency),
        ("used", standing.used_percent, "%"),
        ("from", standing.first, ""),
        ("passed_on", standing.passed_on, ""),
    ]
    return [{"part": "limit", "figure": name, "value": value, "unit": unit} for name, value, unit in values]


def parts(found: LookBack) -> dict[str, dict[str, Decimal | None]]:
    """The figures by part and name, all exact as they came out."""
    year = found.year
    return {
        "turnover": {"net": year.turnover, "tax": year.tax, "received": year.received},
        "selling": {**_figures(year.selling), "total": year.selling.total},
        "overheads": _figures(year.overheads),
        "profit": {"stock_basis": year.stock_profit, "cash_basis": year.cash_profit},
        "bridge": _figures(year.bridge),
        "stock": {
            "opening": year.stock.opening,
            "materials": year.stock.materials,
            "skins": year.stock.skins,
            "paid_help": year.stock.paid_help,
            "closing": year.stock.closing,
            "used": year.stock.used,
        },
        "stock_parts": {
            "consumables": year.parts.consumables,
            "raw_skins": year.parts.raw_skins,
            "in_work": year.parts.in_work,
            "finished": year.parts.finished,
            "with_others": year.parts.with_others,
            "total": year.parts.total,
        },
        "conservation": {
            "used": year.conservation.used,
            **_figures(year.gone),
            "accounted": year.conservation.accounted,
            "miss": year.conservation.miss,
        },
        "owing": {"deposits": year.deposits, "owed": year.owed},
        "hours": {
            "making": money.half_up(year.making_hours, 2),
            "stall": money.half_up(year.stall_hours, 2),
            "other": money.half_up(year.other_hours, 2),
            "total": money.half_up(year.hours, 2),
        },
        "earned": {"per_hour": year.per_hour, "per_making_hour": year.per_making_hour},
    }


def _figures(row: Any) -> dict[str, Decimal | None]:
    return {part.name: getattr(row, part.name) for part in fields(row)}
