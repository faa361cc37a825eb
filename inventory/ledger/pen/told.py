"""What a posting says for good, in the words of the chain, by the pen that has just written it and so need not read it again.

The columns and their order are those of `base/accounting/contents.py`; a test holds the two together.
"""

from collections.abc import Iterable, Iterator
from datetime import UTC, date

from inventory.base.chain import rules
from inventory.ledger.models import Posting
from inventory.ledger.pen.rules import Line


def posting(written: Posting, month: int, lines: Iterable[Line]) -> str:
    """One row for each movement and each lot that bore a part of it."""
    return rules.text(rules.row(cells) for cells in _rows(written, month, lines))


def _rows(written: Posting, month: int, lines: Iterable[Line]) -> Iterator[tuple[object, ...]]:
    kind, on = str(written.kind), written.on.isoformat()
    at = written.written_at.astimezone(UTC).strftime("%Y-%m-%d %H:%M:%S.%f")
    head = (kind, on, written.reason, written.reverses_id, at, written.written_by_id)
    for line in lines:
        moved = (line.material, kind, on, month, line.quantity, line.value, *line.left, line.typed)
        lot = (line.material, on, _day(line.expires)) if line.lot_value is not None else (None, None, None)
        draws: list[tuple[object, ...]] = [(part.lot, part.quantity, part.value) for part in line.parts] or [
            (None, None, None)
        ]
        for draw in draws:
            yield (*head, *moved, *lot, *draw, None)


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None
