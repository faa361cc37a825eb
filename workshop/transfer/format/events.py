"""Rows that are written in one order over several files: by their days, or by numbers of their own (`seq`)."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from workshop.transfer.format.columns import Cells
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

Write = Callable[[ImportSession, Sequence[CsvRow]], None]


@dataclass(frozen=True)
class Event:
    """Rows that are one entry, and how to write them. `rank` is its turn among the entries of a day."""

    on: date
    rank: int
    rows: tuple[CsvRow, ...]
    write: Write

    def by_day(self) -> tuple[date, int, int]:
        return self.on, self.rank, self.rows[0].number

    def by_number(self) -> tuple[int, int]:
        return self.rows[0]["seq"], self.rank


@dataclass(frozen=True)
class SavedEntry:
    """Rows of one file that were written at one moment, after the entry of a sale that they speak of."""

    file: str
    written: datetime
    rows: list[Cells]
    pk: int


@dataclass(frozen=True)
class Run:
    """Files whose rows are one run of entries. `entry` tells what rows of one entry have in common.

    `name` is what the maker calls them; after a refusal the session knows the run as broken, for what comes later may follow
    from it.
    """

    name: str
    files: tuple[str, ...]
    entry: Callable[[CsvRow], tuple[object, ...]]

    def numbered(self, session: ImportSession, rows: Sequence[CsvRow]) -> bool | None:
        """Whether the rows carry numbers; None when some do and some do not, or one number is on two entries."""
        if any(problem.file in self.files for problem in session.problems):
            session.broken.add(self.name)
        with_number = [row for row in rows if row["seq"] is not None]
        if not with_number:
            return False
        before = len(session.problems)
        for row in rows:
            if row["seq"] is None:
                session.complain(row, f"seq is missing. Number every row of the {self.name} files, or none.", "seq")
        entries: dict[int, CsvRow] = {}
        for row in with_number:
            first = entries.setdefault(row["seq"], row)
            if self.entry(first) != self.entry(row):
                where = f"{first.file.name} row {first.number}"
                session.complain(
                    row, f"seq is in {where} too, for another entry. Rows that share it must agree.", "seq"
                )
        return True if len(session.problems) == before else None

    def write(self, session: ImportSession, events: Iterable[Event]) -> None:
        for event in events:
            before = len(session.problems), session.unchecked
            event.write(session, event.rows)
            if before != (len(session.problems), session.unchecked):
                session.broken.add(self.name)


def in_order(events: Iterable[Event], *, by_number: bool) -> list[Event]:
    return sorted(events, key=Event.by_number if by_number else Event.by_day)
