"""What in a year's results is likely wrong or worth a second look. Reads the report that is worked out; adds nothing up anew.

Of many things a doubt names the few that weigh most and says how many more there are and where all of them are listed: of pieces
those that lie longest, of skins without hours those that came last, since their hours are remembered best, of skins with too few
minutes those that lack most of what is usual, of methods those that earn least.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from inventory.money import ZERO
from inventory.report import Link, Report

LONG_DAYS = 200
HALF = 2
NAMED = 5
STAYED = "still here"


@dataclass(frozen=True)
class Doubt:
    """A sentence, the things it is about, and what follows from it.

    `more` things are not named: they are in the table `rest` of the year, found by `sought`.
    """

    words: str
    things: tuple[Link, ...] = ()
    after: str = ""
    more: int = 0
    rest: str = ""
    sought: str = ""


def doubts(found: Report, wage: Decimal) -> Iterator[Doubt]:
    """Of a year; `wage` is the maker's, for an hour, at its end."""
    yield from _hours(found)
    methods = [row for row in found.table("by_method").rows if row["method"] and _poor(row["per_hour"], wage)]
    if methods:
        slow = [str(row["method"]) for row in sorted(methods, key=_per_hour)]
        more = max(0, len(slow) - NAMED)
        yield Doubt(f"{_list(slow)} earned less than half your wage.", more=more, rest="by_method")
    waited = [row for row in found.table("waiting").rows if row["left_on"] is None and _lay(row) > LONG_DAYS]
    if waited:
        longest = [row["piece"] for row in sorted(waited, key=_lay, reverse=True)]
        words = f"{_count(len(waited), 'piece')} waited more than {LONG_DAYS} days for a buyer:"
        yield _doubt(words, longest, "article", "waiting", sought=STAYED)
    loose = [str(row["heading"]).partition(": ")[2] for row in found.table("costs").rows if _loose(row)]
    if loose:
        link = Link("Kinds of cost", "cost_kinds", "")
        yield Doubt(f"No heading is chosen for {_list(loose)}.", (link,))


def _hours(found: Report) -> Iterator[Doubt]:
    after = "What an hour earned is too high while they are missing."
    rows = found.table("unlogged").rows
    none = [row for row in reversed(rows) if row["usual_low"] is None]
    few = sorted((row for row in rows if row["usual_low"] is not None), key=_lacks, reverse=True)
    for mine, words in ((none, "with materials but no hours:"), (few, "with fewer minutes than its kind ever took:")):
        if mine:
            tags = [row["tag"] for row in mine]
            yield _doubt(f"{_count(len(mine), 'skin')} {words}", tags, "skin", "unlogged", after=after)


def _doubt(words: str, names: Sequence[object], page: str, rest: str, *, after: str = "", sought: str = "") -> Doubt:
    """A doubt about things that have pages of their own, the first few of them named."""
    things = tuple(Link(str(name), page, str(name)) for name in names[:NAMED])
    return Doubt(words, things, after, len(names) - len(things), rest, sought)


def _list(names: Sequence[str]) -> str:
    """The first few names in words, with how many more there are."""
    more = len(names) - NAMED
    return ", ".join(names[:NAMED]) + (f" and {more} more" if more > 0 else "")


def _poor(per_hour: object, wage: Decimal) -> bool:
    return isinstance(per_hour, Decimal) and wage > ZERO and per_hour * HALF < wage


def _per_hour(row: Any) -> Decimal:
    return row["per_hour"]  # type: ignore[no-any-return]


def _lacks(row: Any) -> Decimal:
    """Minutes that are missing from what its kind took at least."""
    return row["usual_low"] - row["minutes"]  # type: ignore[no-any-return]


def _lay(row: Any) -> int:
    """Days a finished piece lay."""
    return row["days"] - row["to_finish"]  # type: ignore[no-any-return]


def _loose(row: object) -> bool:
    return str(row["heading"]).startswith("No heading")  # type: ignore[index]


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
