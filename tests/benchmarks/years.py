"""A workshop of many years as a folder that `load` takes: copies of one saved year, several a year.

The copies differ by their codes and days only, so that each year is as busy as the last; the last copy keeps its codes, and an
address of the saved year is one of this workshop. What is open (planned batches, skins
that nothing was made of) stays in the last year: copied, it alone would double some pages.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

from workshop.transfer.format.columns import FILES

Row = dict[str, str]
Rows = dict[str, list[Row]]  # by file

# What there is once, however many years: settings and what others are named after.
ONCE = (
    *("workshop.csv", "rates.csv", "valuation.csv", "closings.csv", "suppliers.csv", "places.csv", "channels.csv"),
    *("materials.csv", "openings.csv", "recipes.csv", "steps.csv", "customers.csv", "debtors.csv", "accounts.csv"),
    *("cost_headings.csv", "cost_kinds.csv", "sheets.csv", "label_sheets.csv", "brought.csv", "words.csv"),
    *("languages.csv", "snoozes.csv"),
)
# Their rows name others by `seq` or by where they stand, which copying changes.
BY_PLACE = ("corrections.csv", "bill_payments.csv")
# Each copy has its own. Frames are used for years: one set for each of a year's copies.
CODES = {
    "skins.csv": "tag",
    "articles.csv": "article",
    "batches.csv": "batch",
    "jobs.csv": "job",
    "orders.csv": "order",
}
FRAMES = ("frames.csv", "frame")
CODED = (
    *("tag", "skin", "skins", "article", "pieces", "back", "together", "batch", "job", "order", "frame"),
    "laced",
    "frames",
)
PAPERS = {
    "sales.csv": ("sale", ("sale", "credits"), "issued_on"),
    "payments.csv": ("receipt", ("receipt", "takes_back"), "date"),
}
NOT_COPIED = ("seq", "photo", "bill")
SPARE_QUANTITY, SPARE_VALUE = Decimal(30), Decimal(15)  # on top for each copy, so that no shelf is ever short
DAY = re.compile(r"\b(\d{4})(?=-\d\d-\d\d)")
PENNY = Decimal("0.01")


@dataclass(frozen=True)
class Saved:
    """The year that is copied, and what of it is told from the rest."""

    rows: Rows
    year: int
    codes: frozenset[str]
    frames: frozenset[str]
    open: frozenset[str]


@dataclass(frozen=True)
class Copy:
    """The `number`th of all, in a `year`. `code` and `frames` come after its codes and those of its frames."""

    number: int
    year: int
    code: str
    frames: str
    in_last_year: bool


@dataclass
class Numbers:
    """Papers have the numbers that their series give in the order of their days."""

    given: dict[tuple[int, str], str] = field(default_factory=dict)
    counted: Counter[str] = field(default_factory=Counter)

    def give(self, copy: int, was: str) -> None:
        if (copy, was) not in self.given:
            prefix = was.rstrip("0123456789")
            self.counted[prefix] += 1
            self.given[copy, was] = f"{prefix}{self.counted[prefix]:0{len(was) - len(prefix)}}"


def build(source: Path, folder: Path, *, years: int, copies: int) -> int:
    """Write `years` years of so many `copies` of the year saved in `source` into a new folder. Gives how many rows it has."""
    saved = read(source)
    made = [_copy(number, saved.year, years, copies) for number in range(years * copies)]
    written = {name: saved.rows[name] for name in ONCE if name in saved.rows}
    written["materials.csv"] = [_opened(row, made) for row in saved.rows["materials.csv"]]
    written |= _events(saved, made)
    written["frames.csv"] = list(_frames(saved, made[:copies]))
    folder.mkdir(parents=True)
    for name, rows in written.items():
        _write(folder / name, rows)
    return sum(map(len, written.values()))


def read(source: Path) -> Saved:
    rows = {}
    for path in sorted(source.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            rows[path.name] = [
                {name: row[name] for name in row if name not in NOT_COPIED} for row in csv.DictReader(file)
            ]
    if there := [name for name in BY_PLACE if rows.get(name)]:
        raise ValueError(f"{', '.join(there)} cannot be copied: their rows name others by their place")
    ended = {
        word
        for name, column in (("articles.csv", "skins"), ("losses.csv", "tag"), ("jobs.csv", "skin"))
        for row in rows[name]
        for word in row[column].split()
    }
    worked = {row["batch"] for name in ("uses.csv", "labour.csv") for row in rows[name]}
    today = next(row["value"] for row in rows["workshop.csv"] if row["key"] == "today")
    return Saved(
        rows,
        int(today[:4]),
        frozenset(row[column] for name, column in CODES.items() for row in rows.get(name, ())),
        frozenset(row[FRAMES[1]] for row in rows[FRAMES[0]]),
        frozenset(row["tag"] for row in rows["skins.csv"]) - ended
        | frozenset(row["batch"] for row in rows["batches.csv"]) - worked,
    )


def _copy(number: int, last_year: int, years: int, copies: int) -> Copy:
    year, nth = divmod(number, copies)
    return Copy(
        number,
        last_year - years + 1 + year,
        "" if number == years * copies - 1 else f"-{number}",
        "" if nth == copies - 1 else f"-{nth}",
        in_last_year=year == years - 1,
    )


def _opened(row: Row, made: list[Copy]) -> Row:
    """A material with what all copies found there at first, and a little more."""
    quantity = (Decimal(row["opening_quantity"] or 0) + SPARE_QUANTITY) * len(made)
    value = (Decimal(row["opening_value"] or 0) + SPARE_VALUE) * len(made)
    return row | {
        "opening_date": f"{made[0].year}-01-01",
        "opening_quantity": f"{quantity.normalize():f}",
        "opening_value": f"{value.quantize(PENNY)}",
    }


def _events(saved: Saved, made: list[Copy]) -> Rows:
    events: dict[str, list[tuple[Copy, Row]]] = {
        name: [(copy, _copied(name, row, saved, copy)) for copy in made for row in rows if _belongs(row, saved, copy)]
        for name, rows in saved.rows.items()
        if name not in (*ONCE, FRAMES[0])
    }
    for name, (number, _, day) in PAPERS.items():
        _in_order(events[name], number, day)
    for name, rows in events.items():
        if name not in PAPERS and (day := _day_column(rows)):
            rows.sort(key=lambda found: found[1][day])  # of one day as before, the first copy first
    _renumber(events)
    return {name: [row for _, row in rows] for name, rows in events.items()}


def _belongs(row: Row, saved: Saved, copy: Copy) -> bool:
    """Whether it has to do with nothing that is still open."""
    return copy.in_last_year or not any(
        words and words <= saved.open
        for column in ("tag", "skin", "skins", "batch")
        if (words := set(row.get(column, "").split()))
    )


def _copied(name: str, row: Row, saved: Saved, copy: Copy) -> Row:
    row = _in_year(row, copy.year - saved.year)
    recode = _recode(saved, copy)
    row |= {column: recode(row[column]) for column in CODED if row.get(column)}
    if name == "fairs.csv":
        row["name"] += f" {copy.number}"
    if fair := row.get("fair"):
        row["fair"] = re.sub(r"(?= \d{4}-\d\d-\d\d$)", f" {copy.number}", fair)
    if ref := row.get("ref"):
        row["ref"] = f"{ref}-{copy.number}"
    return row


def _in_year(row: Row, later: int) -> Row:
    return {column: DAY.sub(lambda found: f"{int(found[1]) + later:04}", cell) for column, cell in row.items()}


def _recode(saved: Saved, copy: Copy) -> Callable[[str], str]:
    """`H01@F1 H02@F2` as `H01-7@F1-2 H02-7@F2-2`, for a copy with those ends. Other words stay."""

    def coded(found: re.Match[str]) -> str:
        word = found[0]
        return word + (copy.code if word in saved.codes else copy.frames if word in saved.frames else "")

    return lambda cell: re.sub(r"[\w/-]+", coded, cell)


def _frames(saved: Saved, first: Iterable[Copy]) -> Iterator[Row]:
    for copy in first:
        for row in saved.rows[FRAMES[0]]:
            yield _copied(FRAMES[0], row, saved, copy) | {"made_on": f"{copy.year}-01-01"}


def _day_column(rows: list[tuple[Copy, Row]]) -> str:
    """The first column of days: what happens first is written first."""
    names = ("date", "start", "date_in", "at", "taken_on")
    return next((name for name in names if rows and name in rows[0][1]), "")


def _in_order(rows: list[tuple[Copy, Row]], number: str, day: str) -> None:
    """All rows of a paper stand together, the paper at its first row's day."""
    days: dict[tuple[int, str], str] = {}
    for copy, row in rows:
        days.setdefault((copy.number, row[number]), row[day] or row["date"])
    rows.sort(key=lambda found: (days[found[0].number, found[1][number]], found[0].number))


def _renumber(events: dict[str, list[tuple[Copy, Row]]]) -> None:
    for name, (number, columns, _) in PAPERS.items():
        numbers = Numbers()
        for copy, row in events[name]:
            numbers.give(copy.number, row[number])
        for rows in events.values():
            for copy, row in rows:
                row |= {column: numbers.given[copy.number, row[column]] for column in columns if row.get(column)}


def _write(path: Path, rows: list[Row]) -> None:
    """By the columns of the file, those that the saved year has."""
    columns = [column.name for column in FILES[path.name].columns if rows and column.name in rows[0]]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(
            file, columns or [column.name for column in FILES[path.name].columns], lineterminator="\n"
        )
        writer.writeheader()
        writer.writerows(rows)
