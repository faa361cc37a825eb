"""The parts of a cost, each beside where it came from, as the pages show them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.rollup import Rates, RoundedCost, Share
from costing.selectors.lines import Entry
from inventory import money
from inventory.models import Skin
from inventory.selectors import workshop


@dataclass(frozen=True)
class Part:
    """`book` None: the part is never in book cost. Both are plain texts of money."""

    name: str
    book: str | None
    full: str
    source: str


@dataclass(frozen=True)
class Sources:
    """Where the money came from, in words."""

    skin: str = ""
    materials: str = ""
    paid_help: str = ""


def of(share: Share, rates: Rates, cost: RoundedCost, sources: Sources) -> list[Part]:
    """Skin, materials, paid help, own time, overhead and frame wear; what is nothing and has no source is left out."""
    currency = workshop.current().currency
    hours, own, laces = share.hours(), share.own_hours(), share.laces

    def text(value: Decimal) -> str:
        return money.amount(value, currency)

    paid = [
        ("Skin", cost.skin_price, sources.skin),
        ("Materials", cost.materials, sources.materials),
        ("Paid help", cost.paid_help, sources.paid_help),
    ]
    unpaid = [
        ("My time", cost.own_time, f"{_figure(own)} h at {text(rates.wage_per_hour)} an hour" if own else ""),
        ("Overhead", cost.overhead, f"{_figure(hours)} h at {text(rates.overhead_per_hour)} an hour" if hours else ""),
        ("Frame wear", cost.frame_wear, f"{_lacings(laces)} at {text(rates.frame_wear)}" if laces else ""),
    ]
    return [Part(name, text(value), text(value), source) for name, value, source in paid if value or source] + [
        Part(name, None, text(value), source) for name, value, source in unpaid if value or source
    ]


def late(book: Decimal, full: Decimal) -> list[Part]:
    """What was written after the piece was finished, as a part of its own."""
    if not book and not full:
        return []
    currency = workshop.current().currency
    return [Part("Late", money.amount(book, currency), money.amount(full, currency), "written after it was finished")]


def sources(skins: Sequence[Skin], entries: Iterable[Entry], part: Fraction = Fraction(1)) -> Sources:
    """Words for the sources of one or several skins, of which a piece bears `part`."""
    found = list(entries)
    of_it = "" if part == 1 else f"{part} of "
    losses = dict.fromkeys(entry.what for entry in found if entry.kind == "skin_price")
    return Sources(
        skin=of_it + "; ".join([*(_bought(skin) for skin in skins), *losses]),
        materials=_counted([entry for entry in found if entry.kind == "materials"], of_it),
        paid_help=_counted([entry for entry in found if entry.kind == "paid_help"], of_it),
    )


def _bought(skin: Skin) -> str:
    if skin.owner == Skin.Owner.CUSTOMER:
        return f"{skin.tag}, a customer's own"
    whence = f" from {skin.supplier.name}" if skin.supplier else ""
    return f"{skin.tag}{whence}, {skin.date_in.day} {skin.date_in:%b %Y}"


def _counted(entries: Sequence[Entry], of_it: str) -> str:
    if not entries:
        return ""
    batches = dict.fromkeys(entry.batch.number for entry in entries if entry.batch)
    places = [f"batch {number}" for number in batches] + (
        ["straight on the skin"] if any(not e.batch for e in entries) else []
    )
    lines = len({(entry.posting, entry.labour and entry.labour.pk, entry.what) for entry in entries})
    return f"{of_it}its share of {lines} line{'' if lines == 1 else 's'}: {', '.join(places)}"


def _figure(value: Fraction) -> str:
    return f"{money.half_up(value, 2)}"


def _lacings(laces: Fraction) -> str:
    if laces == 1:
        return "1 lacing"
    whole = laces.denominator == 1
    return f"{laces if whole else _figure(laces)} lacing{'s' if laces > 1 else ''}"
