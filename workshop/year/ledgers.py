"""The year as small ledgers that add up: how each profit comes about, where the stock went, hours, stock, what is owed."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from costing.report.year.profit.selectors import Year
from costing.report.year.selectors import LookBack
from inventory import money


@dataclass(frozen=True)
class Row:
    """A line of a ledger; `total` is what the lines above come to. None where a column does not have it."""

    words: str
    values: tuple[Decimal | None, ...]
    total: bool = False


@dataclass(frozen=True)
class Ledger:
    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    note: str = ""


def ledgers(found: LookBack) -> list[Ledger]:
    year = found.year
    return [profits(year), went(year), stock(year), hours(found), overheads(year), *limit(found)]


def profits(year: Year) -> Ledger:
    """The two profits side by side, each from its own figures down to its sum."""
    goods = -(year.stock.used - year.gone.own_use)
    rows = [
        Row("Turnover after credits", (year.turnover, None)),
        Row("Money received, with what was withheld", (None, year.received)),
        Row("Stock that left, own use aside", (goods, None)),
        Row("Materials bought", (None, -year.stock.materials)),
        Row("Skins bought", (None, -year.stock.skins)),
        *([Row("Help paid", (None, -year.stock.paid_help))] if year.stock.paid_help else []),
        *([Row("Own use, at book cost", (None, year.gone.own_use))] if year.gone.own_use else []),
        Row("Selling costs", (-year.selling.total, -year.selling.total)),
        Row("Overheads", (-year.overheads.spent, -year.overheads.spent)),
        Row("Profit", (year.stock_profit, year.cash_profit), total=True),
    ]
    note = "Your own hours are in neither. Which of the two your tax office wants is for you to find out."
    return Ledger("profits", "The two profits", ("Stock counted", "As money moved"), tuple(rows), note)


def went(year: Year) -> Ledger:
    """opening + bought - closing, and where exactly that went."""
    gone = year.gone
    named = (
        ("sold or handed over, at book cost", gone.sold),
        ("spoiled", gone.spoiled),
        ("packing gone with sales", gone.boxes),
        ("count differences", gone.differences),
        ("own use", gone.own_use),
        ("given away", gone.given),
        ("other", gone.other),
        ("rounding piece by piece", gone.sharing),
    )
    bought = [
        Row("Stock at first", (year.stock.opening,)),
        Row("+ materials bought", (year.stock.materials,)),
        Row("+ skins bought", (year.stock.skins,)),
        *([Row("+ help paid, which is in the pieces", (year.stock.paid_help,))] if year.stock.paid_help else []),
        Row("− stock at last", (-year.stock.closing,)),
        Row("Left the stock", (year.conservation.used,), total=True),
    ]
    told = [Row(words, (value,)) for words, value in named if value]
    end = Row("Told of it", (year.conservation.accounted,), total=True)
    missing = Row("Told nowhere", (year.conservation.miss,), total=True)
    note = "" if year.conservation.holds else "The two do not agree. Run the check of the books."
    rows = (*bought, *told, end, *(() if year.conservation.holds else (missing,)))
    return Ledger("went", "Where the stock went", ("Value",), rows, note)


def stock(year: Year) -> Ledger:
    held = year.parts
    rows = (
        Row("Consumables", (held.consumables,)),
        Row("Raw skins", (held.raw_skins,)),
        Row("In work", (held.in_work,)),
        Row("Finished, here", (held.finished - held.with_others,)),
        Row("Finished, with others", (held.with_others,)),
        Row("Stock at last", (held.total,), total=True),
        Row("Owed to me by buyers, less what I owe back", (year.owed,)),
        Row("Deposits and money paid ahead that I hold", (year.deposits,)),
    )
    return Ledger(
        "stock", "What is there at the end", ("Value",), rows, "At book cost; customers' skins count nothing."
    )


def hours(found: LookBack) -> Ledger:
    year = found.year
    each = ((year.making_hours, "Making"), (year.stall_hours, "At stalls"), (year.other_hours, "Papers, buying, other"))
    rows = [Row(words, (money.half_up(value, 2),)) for value, words in each]
    rows.append(Row("Hours in all", (money.half_up(year.hours, 2),), total=True))
    return Ledger("hours", "My hours", ("Hours",), tuple(rows))


def limit(found: LookBack) -> list[Ledger]:
    """Turnover against the limit of the terms; none where none is set."""
    standing = found.limit
    if standing is None:
        return []
    rows = (
        Row("Turnover that counts", (standing.turnover,)),
        Row("The limit in the terms", (standing.limit,)),
        Row("Left of it", (standing.left,), total=True),
    )
    note = f"{standing.used_percent:f} % used, {standing.span.value} from {standing.first}."
    if standing.passed_on:
        note += f" Passed on {standing.passed_on}."
    return [Ledger("limit", "Turnover against the limit", ("Value",), rows, note)]


def overheads(year: Year) -> Ledger:
    over = year.overheads
    short = Row("Over", (over.over,)) if over.over else Row("Short", (over.short,))
    rows = (
        Row("Overheads spent", (over.spent,)),
        Row("Borne by the hours of making, at the rate of their day", (over.recovered,)),
        short,
        Row("Profit with stock counted, per hour", (year.per_hour,), total=True),
        Row("The same, per hour of making", (year.per_making_hour,), total=True),
    )
    return Ledger("overheads", "What an hour bore and earned", ("Value",), rows)
