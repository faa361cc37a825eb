"""What in a year's results is likely wrong or worth a second look. Reads the report that is worked out; adds nothing up anew."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from inventory.money import ZERO
from inventory.report import Link, Report

LONG_DAYS = 200
HALF = 2


@dataclass(frozen=True)
class Doubt:
    """A sentence, the things it is about, and what follows from it."""

    words: str
    things: tuple[Link, ...] = ()
    after: str = ""


def doubts(found: Report, wage: Decimal) -> Iterator[Doubt]:
    """Of a year; `wage` is the maker's, for an hour, at its end."""
    yield from _hours(found)
    methods = [row for row in found.table("by_method").rows if row["method"]]
    slow = [str(row["method"]) for row in methods if _poor(row["per_hour"], wage)]
    if slow:
        yield Doubt(f"{', '.join(slow)} earned less than half your wage.")
    waited = [row["piece"] for row in found.table("waiting").rows if row["left_on"] is None and _lay(row) > LONG_DAYS]
    if waited:
        things = tuple(Link(str(piece), "article", str(piece)) for piece in waited)
        yield Doubt(f"{_count(len(waited), 'piece')} waited more than {LONG_DAYS} days for a buyer:", things)
    loose = [str(row["heading"]).partition(": ")[2] for row in found.table("costs").rows if _loose(row)]
    if loose:
        link = Link("Kinds of cost", "cost_kinds", "")
        yield Doubt(f"No heading is chosen for {', '.join(loose)}.", (link,))


def _hours(found: Report) -> Iterator[Doubt]:
    after = "What an hour earned is too high while they are missing."
    rows = found.table("unlogged").rows
    none = [row for row in rows if row["usual_low"] is None]
    few = [row for row in rows if row["usual_low"] is not None]
    for mine, words in ((none, "with materials but no hours:"), (few, "with fewer minutes than its kind ever took:")):
        if mine:
            things = tuple(Link(str(row["tag"]), "skin", str(row["tag"])) for row in mine)
            yield Doubt(f"{_count(len(mine), 'skin')} {words}", things, after)


def _poor(per_hour: object, wage: Decimal) -> bool:
    return isinstance(per_hour, Decimal) and wage > ZERO and per_hour * HALF < wage


def _lay(row: object) -> int:
    """Days a finished piece lay."""
    return row["days"] - row["to_finish"]  # type: ignore[index, no-any-return]


def _loose(row: object) -> bool:
    return str(row["heading"]).startswith("No heading")  # type: ignore[index]


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
