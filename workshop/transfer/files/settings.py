"""The workshop's own settings, a key and its value a row, the rates by the day they begin, its words on papers, and how the books
were closed."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from costing.make.cost.rates import selectors as rates_read, services as rates
from costing.make.cost.rates.models import EVER
from costing.models import Series
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.terms import selectors as terms_read, services as terms
from inventory.base import selectors as workshop
from inventory.base.accounting import selectors as accounting_read, services as accounting
from inventory.base.wording import services as wording
from inventory.errors import Refused
from workshop.documents.words import services as words
from workshop.documents.words.rules import MOVED
from workshop.transfer.format.columns import FILES, KEYS, Cells
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

LAST = ("closed_to", "today")


def saved_settings() -> Iterator[Cells]:
    """With the rates that hold before any of `rates.csv`, and the valuation method before any of `valuation.csv`. An empty
    prefix is written too: it is not the usual one."""
    row = SimpleNamespace(
        workshop=workshop.current(),
        rates=rates_read.at(EVER),
        terms=terms_read.terms(),
        series={one.kind: one for one in Series.objects.all()},
    )
    for key, column in KEYS.items():
        value = accounting_read.first_cost_flow() if key == "cost_flow" else column.value(row)
        cell = column.cell(value)
        if cell or (_series_of(key) and value is not None):
            yield {"key": key, "value": cell}


def saved_rates() -> Iterator[Cells]:
    """Those that begin on a day; others of the same day that they replaced are left out."""
    for held in reversed(rates_read.history().held()):
        if held.row.since > EVER and not held.replaced:
            yield FILES["rates.csv"].cells(held.row)


def saved_closings() -> Iterator[Cells]:
    yield from map(FILES["closings.csv"].cells, reversed(accounting_read.closings()))


def load_settings(session: ImportSession) -> None:
    """All but the two that would be in the way of the events: they come last."""
    accounting.end_first_steps()  # the row itself: a workshop that was loaded is set up, also when the file says nothing of it
    if session.rows("rates.csv") or any(_head(row["key"]) == "rates" for row in session.rows("workshop.csv")):
        rates.clear()  # what was set up before would hold beside them
    runs: list[CsvRow] = []
    for row in session.once("workshop.csv", "{} already. Each key is named once."):
        if _series_of(row["key"]):
            runs.append(row)
        elif row["key"] not in LAST:
            with session.writing(row):
                _set(row)
    if runs:
        _set_series(session, runs)
    load_rates(session)


def load_rates(session: ImportSession) -> None:
    """Those of the settings hold for all days before the first of these; an empty cell is as it was before that day."""
    rows = session.rows("rates.csv")
    if rows:
        with session.checking(rows[0]):
            rates.set_rates()  # so that the first of these begins on its own day, also where the settings name no rates
    for row in session.once("rates.csv", "{} already. Each day is named once."):
        with session.writing(row):
            rates.set_rates(**{name: value for name, value in session.arguments(row).items() if value is not None})


def load_words(session: ImportSession) -> None:
    """The maker's own words on papers, and the translations that were checked."""
    for row in session.once("words.csv", "{} already. Each phrase of a language is said once."):
        with session.writing(row):
            said = session.arguments(row)
            words.change(**{**said, "key": MOVED.get(said["key"], said["key"])})
    session.each("languages.csv", wording.bring_tick)


def load_last(session: ImportSession) -> None:
    """The closed period and the pinned day, when everything else is written. The log of closings goes before: the books are not
    closed once more to where it leaves them."""
    for row in session.rows("closings.csv"):
        with session.writing(row):
            accounting.bring_closing(**session.arguments(row))
    for row in session.rows("workshop.csv"):
        if row["key"] in LAST:
            with session.writing(row):
                _set(row)


def _head(key: str) -> str:
    return KEYS[key].path.partition(".")[0]


def _set(row: CsvRow) -> None:
    key: str = row["key"]
    value = _value(row)
    if _head(key) == "rates":
        rates.set_rates(**{key: _needed(value)})
    elif key == "closed_to":
        accounting.close_books(to=value)
    elif key == "today":
        accounting.pin_today(on=value)
    elif _head(key) == "terms":
        _set_term(key, value)
    elif key == "deducts_tax":
        accounting.set_up(by=None, deducts_tax=bool(_needed(value)))
    elif key in ("currency", "cost_flow"):
        accounting.set_up(by=None, **{key: _needed(value)})
    elif value is not None or key not in accounting.CHOICES:  # an empty choice is the usual one
        text: dict[str, Any] = {key: value or ""}
        accounting.set_up(by=None, **text)


def _set_series(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    """How the series are written, each before it has a paper. Judged together: two may have changed places."""
    usual = {str(kind): (prefix, numbering.DIGITS) for kind, prefix in numbering.USUAL.items()}
    there = {**usual, **{row.kind: (row.prefix, row.digits) for row in Series.objects.all()}}
    written: dict[str, tuple[str, int]] = {}
    first: dict[str, int] = {}
    for row in rows:
        with session.writing(row):
            kind, value = _series_of(row["key"]), _value(row)
            if row["key"].endswith("_first"):
                first[kind] = _needed(value)
                continue
            prefix, digits = written.get(kind, there[kind])
            is_prefix = row["key"].endswith("_prefix")
            written[kind] = (value or "", digits) if is_prefix else (prefix, _needed(value))
    try:
        if written:
            numbering.change_all(written=written)
        numbering.begin(at=first)
    except Refused as refusal:
        named = [row for row in rows if row["key"] == (refusal.field or "").replace("_next", "_first")]
        session.complain((named or list(rows))[-1], str(refusal), "value")


def _series_of(key: str) -> str:
    """The kind of series that a key writes: invoice_prefix -> invoice; empty for other keys."""
    head, _, rest = KEYS[key].path.partition(".")
    return rest.partition(".")[0] if head == "series" else ""


def _set_term(key: str, value: Any) -> None:
    """One of the terms, the others as they are."""
    row = terms_read.terms()
    now = {name: getattr(row, name) for name in KEYS if _head(name) == "terms"}
    now |= {
        name: Decimal(now[name]) for name in ("deposit_percent", "storage_per_day", "late_interest_percent")
    }  # plain defaults until saved
    terms.set_terms(**{**now, key: (value or "") if isinstance(now[key], str) else _needed(value)})


def _value(row: CsvRow) -> Any:
    try:
        return KEYS[row["key"]].kind.read(row["value"]) if row["value"] else None
    except Refused as refusal:
        raise Refused(str(refusal), field="value") from refusal


def _needed(value: Any) -> Any:
    if value is None:
        raise Refused("The value is missing. Fill it in, or take the row out.", field="value")
    return value
