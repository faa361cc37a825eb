"""Where a table begins in a sheet, and which of its columns is what: by the words of the heads and the look of the cells.

Only proposes: the maker's answer decides. Knows no database.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from workshop.setup.bring.book import Sheet, Value
from workshop.setup.bring.kinds import KINDS, Field, Kind
from workshop.setup.bring.values import SIGNS, Style, Unread, day, measure

_TOTAL = re.compile(r"(grand |sub ?|year )?(totals?|sum|subtotal|balance|all together|together)\b.*", re.IGNORECASE)
_SEARCHED = 40
_LOOKED_AT = 200
_PERCENT = 60
_SURE = 150

# Never guessed: the heads of a bank's file are those of purchases too.
BY_NAME = "payments"


@dataclass(frozen=True)
class Table:
    """The rows of a sheet below its head. `columns`: what each is headed with, by its place."""

    sheet: Sheet
    head: int
    columns: dict[int, str]
    rows: tuple[int, ...]
    passed: tuple[tuple[int, str], ...] = ()


def plain(head: str) -> str:
    """A head as words alone: capitals, marks, and what stands in brackets left out.

    >>> plain("  Date Bought: "), plain("Paid ($)"), plain("Wt. (lbs)")
    ('date bought', 'paid', 'wt')
    """
    text = re.sub(r"\(.*?\)|\[.*?\]", " ", unicodedata.normalize("NFKC", head).casefold())
    return " ".join(re.sub(r"[^\w&]+", " ", text).split())


def bracketed(head: str) -> str:
    """What stands in brackets behind a head, or behind its last comma: its unit or currency, mostly.

    >>> bracketed("Weight (lbs)"), bracketed("Weight, kg"), bracketed("Weight")
    ('lbs', 'kg', '')
    """
    found = re.search(r"[(\[]([^)\]]+)[)\]]\s*$|,\s*(\w+)\s*$", head)
    return (found[1] or found[2]).strip() if found else ""


def score(field: Field, head: str) -> int:
    """How well a head names a field: 100 and more for one of its words, less for one among others, 0 for none."""
    said = plain(head)
    best = 0
    for rank, word in enumerate(plain(word) for word in field.words):
        if said == word:
            best = max(best, 200 - rank)
        elif len(word) > 2 and re.search(rf"\b{re.escape(word)}\b", said):
            best = max(best, 60 + len(word) - rank)
    return best


def table(sheet: Sheet) -> Table | None:
    """The first and largest table of a sheet; None where no row looks like heads."""
    best: tuple[int, int, dict[int, str]] | None = None
    rows = [row for row in sorted(sheet.rows) if row <= min(sheet.rows) + _SEARCHED]
    for row in rows:
        for depth in (1, 2):
            heads = _heads(sheet, row, depth)
            worth = _known(heads)
            if heads and (best is None or worth > best[0]):
                best = worth, row + depth - 1, heads
    if best is None or best[0] < 2:
        return None
    _, head, columns = best
    kept, passed = _body(sheet, head, columns)
    return Table(sheet, head, columns, kept, passed)


def _heads(sheet: Sheet, row: int, depth: int) -> dict[int, str]:
    """The texts of one row, or of two where the upper one heads several columns of the lower."""
    lower = row + depth - 1
    if depth == 2 and not any(row in (at[0], first[0]) and row != lower for at, first in sheet.merged.items()):
        return {}
    found: dict[int, str] = {}
    wide = {first for at, first in sheet.merged.items() if at[0] == row == first[0]}
    columns = {column for each in range(row, lower + 1) for column in sheet.rows.get(each, {})}
    columns |= {at[1] for at in sheet.merged if row <= at[0] <= lower}
    if len(wide) == 1 and len(sheet.rows.get(row, {})) == 1 and depth == 1:
        return {}  # a title over the whole sheet
    for column in sorted(columns):
        parts = [sheet.at(each, column) for each in range(row, lower + 1)]
        if any(isinstance(part, Decimal | date) for part in parts):
            return {}
        text = " ".join(dict.fromkeys(str(part) for part in parts if part))
        if text:
            found[column] = text[:80]
    return found


def _known(heads: Mapping[int, str]) -> int:
    """How many columns the heads name of the kind that they name most of."""
    return max(
        sum(any(score(field, head) for head in heads.values()) for field in kind.fields) for kind in KINDS.values()
    )


def _body(sheet: Sheet, head: int, columns: Mapping[int, str]) -> tuple[tuple[int, ...], tuple[tuple[int, str], ...]]:
    """The rows below the heads, and those passed over with the reason: sums, titles between, heads written again."""
    kept, passed = [], []
    again = {text.casefold() for text in columns.values()}
    for row in sorted(each for each in sheet.rows if each > head):
        cells = sheet.rows[row]
        texts = [str(value) for value in cells.values() if isinstance(value, str)]
        if texts and _TOTAL.fullmatch(texts[0]) and not any(isinstance(value, date) for value in cells.values()):
            passed.append((row, "a row of sums"))
        elif len(texts) == len(cells) > 1 and {text.casefold() for text in texts} <= again:
            passed.append((row, "the heads once more"))
        elif (
            not texts and all(isinstance(value, Decimal) for value in cells.values()) and 1 < len(cells) < len(columns)
        ):
            passed.append((row, "a row of sums"))
        else:
            kept.append(row)
    return tuple(kept), tuple(passed)


def looks(values: Iterable[Value], holds: str, *, named: bool = False) -> bool:
    """Whether most cells of a column could be what a field holds; any, where its very head says so."""
    cells = list(values)[:_LOOKED_AT]
    if not cells or holds == "text":
        return not cells or holds == "text"
    fit = sum(_fits(value, holds) for value in cells)
    return fit > 0 if named else fit * 100 >= _PERCENT * len(cells)


def _fits(value: Value, holds: str) -> bool:
    if isinstance(value, date):
        return holds == "date"
    if isinstance(value, Decimal):
        return holds != "date"
    try:
        if holds == "date":
            day(value, Style(order="d", year=2000) if re.match(r"\d", value) else Style())
        elif holds in ("money", "moved"):
            return bool(re.search(r"\d", value)) and not re.search(r"[A-Za-z]{4,}", value) and not _measured(value)
        else:
            measure(value, Style("."), {})
    except Unread as unread:
        return bool(unread.asks) or ("calendar" in str(unread) and holds == "date")
    return True


def _measured(text: str) -> bool:
    said = re.sub(r"[\d.,\s()+\-]", "", text).lower()
    return bool(said) and said not in SIGNS


def propose(kind: Kind, columns: Mapping[str, list[Value]]) -> dict[str, str]:
    """The field of each head, by its words where the look allows it; then by the look alone. `columns`: cells under each head."""
    ranked = sorted(
        (
            (score(field, head) + (20 if field.needed else 0), -at, head, field)
            for at, (head, cells) in enumerate(columns.items())
            for field in kind.fields
            if (words := score(field, head)) and looks(cells, field.holds, named=words >= _SURE)
        ),
        key=lambda each: each[:2],
        reverse=True,
    )
    found: dict[str, str] = {}
    for _, _, head, field in ranked:
        if head not in found and (field.many or field.name not in found.values()):
            found[head] = field.name
    for field in kind.fields:
        if field.needed and field.holds != "text" and field.name not in found.values():
            left = [
                head for head, cells in columns.items() if head not in found and cells and looks(cells, field.holds)
            ]
            if len(left) == 1:
                found[left[0]] = field.name
    return found


def guess(columns: Mapping[str, list[Value]]) -> str:
    """What the rows most likely are: the kind with most of its fields found, all needed ones above all."""

    def worth(kind: Kind) -> tuple[int, int]:
        found = propose(kind, columns)
        needed = {field.name for field in kind.fields if field.needed}
        missing = len(needed - set(found.values()))
        named = sum(score(kind.field(name), head) for head, name in found.items())
        return -missing, named

    return max((kind for kind in KINDS.values() if kind.name != BY_NAME), key=worth).name
