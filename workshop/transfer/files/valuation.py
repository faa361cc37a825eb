"""Changes of the stock valuation method, each where it stands among the entries of the ledger."""

from collections.abc import Iterable, Iterator, Sequence

from inventory.base.accounting import selectors as accounting_read, services as accounting
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.events import Event
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

FILE = "valuation.csv"


class Saved:
    """The changes not written yet, asked for as the postings are numbered; each takes the next of the same `numbers`."""

    def __init__(self, numbers: Iterator[int]) -> None:
        self._numbers = numbers
        self._changes = accounting_read.changes()

    def before(self, posting: int) -> Iterator[Cells]:
        """Those that were made before a posting (id) was written."""
        while self._changes and (self._changes[0].after_id or 0) < posting:
            yield FILES[FILE].cells(self._changes.pop(0), seq=next(self._numbers))

    def rest(self) -> Iterator[Cells]:
        """Those after the last posting."""
        while self._changes:
            yield FILES[FILE].cells(self._changes.pop(0), seq=next(self._numbers))


def events(rows: Iterable[CsvRow], rank: int) -> Iterator[Event]:
    yield from (Event(row["since"], rank, (row,), _change) for row in rows)


def _change(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row):
        accounting.change_cost_flow(**session.arguments(row))
