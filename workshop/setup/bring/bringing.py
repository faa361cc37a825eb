"""Bringing a file in: all of its rows or none, each once, and what was answered is remembered for the same heads."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db import IntegrityError, transaction

from inventory.base import selectors as workshop
from inventory.base.chain import services as chain
from inventory.base.sheets import selectors as sheets_read, services as sheets
from inventory.errors import NotAllowed, Refused
from inventory.permits import Act, Person, require
from workshop.setup.bring import reading as rows_of
from workshop.setup.bring.book import opened
from workshop.setup.bring.others import Customers, Sales, Skins
from workshop.setup.bring.payments import Payments
from workshop.setup.bring.purchases import Purchases
from workshop.setup.bring.questions import COLUMNS, LEAVE, MEND, Doubt, Question, unanswered
from workshop.setup.bring.reading import Reading, Row
from workshop.setup.bring.values import Measure
from workshop.setup.bring.writing import Writer

WRITERS: Mapping[str, type[Writer]] = {
    "purchases": Purchases,
    "skins": Skins,
    "sales": Sales,
    "customers": Customers,
    "payments": Payments,
}
FIRST_ROWS = 8

# A page that only looks does not wait longer than some seconds.
TRIED_ROWS = 500
_DOUBTFUL = Question(
    "doubtful",
    "Rows with a doubtful cell",
    ((MEND, "bring nothing in until I have put them right"), (LEAVE, "leave them out, and bring in the others")),
    MEND,
    needed=True,
)


@dataclass(frozen=True)
class Brought:
    """What became of a file. `written` rows were kept (would be, in a dry run), `before` came earlier, `left_out` are doubtful,
    `not_wanted` are what the maker does not bring in. `done`: nothing is open, and what was to be written is.

    `first`: the first rows as they would be kept, under `columns`. `remembered`: answers about the same heads were kept before.
    """

    into: str
    noun: str
    done: bool
    dry_run: bool
    written: int = 0
    before: int = 0
    left_out: int = 0
    not_wanted: int = 0
    questions: list[Question] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    passed: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    columns: tuple[str, ...] = ()
    first: list[list[str]] = field(default_factory=list)
    remembered: bool = False

    @property
    def open(self) -> list[Question]:
        return unanswered(self.questions)


class _Stop(Exception):  # noqa: N818 - takes back what was written, and is no fault
    pass


def bring(
    content: bytes,
    name: str,
    *,
    into: str = "",
    answers: Mapping[str, str] | None = None,
    as_before: bool = False,
    dry_run: bool = False,
    quick: bool = False,
    by: Person = None,
) -> Brought:
    """Bring a file in with the answers given, or say what is still to be asked and write nothing.

    `as_before`: what was answered the last time about the same heads counts where nothing else is answered.
    `quick`: of a long file in a dry run, the services are not asked about each row.
    """
    require(by, Act.GOODS)
    given = dict(answers or {})
    sheets_there = opened(content, name)
    with workshop.remembered(), workshop.at_home():
        currency = workshop.current().currency
        reading = rows_of.read(sheets_there, given, currency=currency, into=into)
        heads = sheets.fingerprint(reading.kind.name, *sorted(head.casefold() for head in reading.heads))
        earlier = sheets_read.answers(heads)
        if earlier and as_before:
            given = {**earlier, **given}
            reading = rows_of.read(sheets_there, given, currency=currency, into=into)
        found = _brought(reading, given, dry_run=dry_run, quick=quick and dry_run, by=by, remembered=bool(earlier))
        if found.done and not dry_run:
            apart = (_DOUBTFUL.name, *WRITERS[found.into].once)
            kept = {one.name: one.preset for one in found.questions if one.preset and not one.name.startswith(apart)}
            sheets.remember(heads=heads, answers=kept, by=by)
        return found


def refuse_unreadable(content: bytes, name: str, *, into: str = "") -> None:
    """Refuse a file that is no spreadsheet, or has no row of heads; nothing of it is kept or tried."""
    with workshop.remembered(), workshop.at_home():
        rows_of.read(opened(content, name), {}, currency=workshop.current().currency, into=into)


def _brought(
    reading: Reading, given: Mapping[str, str], *, dry_run: bool, quick: bool, by: Person, remembered: bool
) -> Brought:
    kind = WRITERS[reading.kind.name]
    keyed = _keys(kind, (row for row in reading.rows if not row.waits)) if not reading.faults else {}
    before = sheets_read.brought(keyed)
    fresh = {key: row for key, row in keyed.items() if key not in before}
    waiting = [row for row in reading.rows if row.waits and not reading.faults]
    writer = kind([*fresh.values(), *waiting], given, by)
    mapped = not reading.faults
    questions = [*reading.questions, *(writer.questions() if mapped else [])]
    _refuse_unknown(questions, given)
    doubts, new, not_wanted = list(reading.doubts), dict[str, Row](), 0
    for key, row in fresh.items():
        if writer.passes(row):
            not_wanted += 1
        elif faults := writer.faults(row):
            doubts += [row.doubt(why, name) for name, why in faults]
        else:
            new[key] = row
    leave = given.get(_DOUBTFUL.name) == LEAVE
    open_ = unanswered(questions) or not mapped
    written, there = 0, 0
    if not open_ and quick and len(new) > TRIED_ROWS:
        written = len(new)
    elif not open_:
        written, there, refused = _written(
            writer, new, dry_run=dry_run or (bool(doubts) and not leave), leave=leave, by=by
        )
        doubts += refused
    questions.append(Question(**{**vars(_DOUBTFUL), "preset": given.get(_DOUBTFUL.name) or MEND}))
    return Brought(
        into=reading.kind.name,
        noun=reading.kind.name,
        done=not open_ and (leave or not doubts),
        dry_run=dry_run,
        written=written,
        before=len(before) + there,
        left_out=len({(doubt.sheet, doubt.row) for doubt in doubts}),
        not_wanted=not_wanted,
        questions=questions,
        doubts=doubts,
        faults=reading.faults,
        passed=reading.passed,
        unread=reading.unread,
        columns=writer.heads,
        first=[writer.shown(row) for row in list(new.values())[:FIRST_ROWS]],
        remembered=remembered,
    )


def _refuse_unknown(questions: Iterable[Question], given: Mapping[str, str]) -> None:
    """An answer that was not among the choices. Of columns another kind's fields are none: those are proposed anew."""
    for question in questions:
        answer = given.get(question.name, "")
        if answer and question.choices and question.group != COLUMNS and answer not in dict(question.choices):
            ways = ", ".join(value for value, _ in question.choices[:12])
            raise Refused(
                f"“{answer[:40]}” is no answer to “{question.label}”; choose one of {ways}.", field=question.name
            )


def _written(
    writer: Writer, new: Mapping[str, Row], *, dry_run: bool, leave: bool, by: Person
) -> tuple[int, int, list[Doubt]]:
    """How many rows were written and how many were there already, and what the services refused."""
    written, there, refused = [], 0, list[Doubt]()
    try:
        with chain.together():
            for key, row in sorted(new.items(), key=lambda each: _when(each[1])):
                try:
                    with transaction.atomic():
                        if writer.write(row):
                            written.append(key)
                        else:
                            there += 1
                except NotAllowed:
                    raise
                except Refused as refusal:
                    writer.look_again()
                    refused.append(row.doubt(str(refusal), _named(row, refusal.field)))
            if dry_run or (refused and not leave):
                raise _Stop
            try:
                sheets.mark(rows=written, on=workshop.today(), by=by)
            except IntegrityError:
                raise Refused(
                    "The same rows were brought in at this moment from somewhere else. Nothing was written; send it once more."
                ) from None
    except _Stop:
        workshop.forget()
    return len(written), there, refused


def _when(row: Row) -> tuple[date, str, int]:
    """In the order of their days: the shelf is moved as it was."""
    on = row.found.get("on")
    return (on if isinstance(on, date) else date.min), row.sheet, row.number


# What a service calls a field that the sheet calls otherwise.
_CALLED = {
    **dict.fromkeys(("amount", "pack_quantity", "packs"), "quantity"),
    **{"pack_price": "total", "asked": "price", "items": "words", "date_in": "on", "again": "on", "name": "material"},
}


def _named(row: Row, name: str | None) -> str:
    called = name if name in row.cells else _CALLED.get(name or "", "")
    return called if called in row.cells else ""


def _keys(kind: type[Writer], rows: Iterable[Row]) -> dict[str, Row]:
    """The rows by what stands in them and how many alike stand before: two alike are two, and the same file again is the same."""
    seen: Counter[str] = Counter()
    found = {}
    for row in rows:
        print_ = sheets.fingerprint(kind.__name__, *(_same(row.found.get(name, "")) for name in kind.identity))
        seen[print_] += 1
        found[sheets.fingerprint(print_, seen[print_])] = row
    return found


def _same(value: object) -> str:
    if isinstance(value, Measure):
        return f"{value.amount.normalize():f} {value.unit} {value.packs.normalize():f}"
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value).casefold()
