"""A file read with the maker's answers: rows by field, what is still to be asked, and each cell that cannot be believed.

Knows no database: what the rows become is up to the writers of each kind.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

from inventory.errors import Refused
from workshop.setup.bring import heads as headings, values
from workshop.setup.bring.book import Sheet, Value
from workshop.setup.bring.heads import Table
from workshop.setup.bring.kinds import KINDS, Field, Kind, kind_of
from workshop.setup.bring.questions import COLUMNS, MARKS, NOT_BROUGHT, ORDERS, UNITS, Doubt, Question, letter
from workshop.setup.bring.values import Measure, Style, Unread

Read = str | Decimal | date | Measure
_BLANK = frozenset({"-", "--", "—", "–", "n/a", "na", "none", "nil", "?", ".", "x"})
_DITTO = frozenset({'"', "''", "”", "〃", "ditto", "do", "same"})
_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")


@dataclass(frozen=True)
class Row:
    """`cells`: which column each field was read from, and what stood there. `waits`: for an answer, some field is not read yet."""

    sheet: str
    number: int
    found: dict[str, Read]
    cells: dict[str, tuple[int, str, str]]
    waits: bool = False

    def doubt(self, why: str, name: str = "") -> Doubt:
        """That a field of it, or all of it, cannot be kept."""
        column, head, value = self.cells.get(name, (0, "", ""))
        return Doubt(self.sheet, self.number, letter(column), head, value, why)


@dataclass
class Reading:
    """`heads`: all heads of the tables that are read, `unread`: sheets that are not, with the reason."""

    kind: Kind
    heads: tuple[str, ...]
    rows: list[Row] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    passed: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class _Hand:
    """What is known while the rows are read: the books' currency, the answers, and what is found that must be asked."""

    currency: str
    answers: Mapping[str, str]
    order: str = ""
    asks: dict[str, str] = field(default_factory=dict)

    @property
    def words(self) -> dict[str, str]:
        names = self.answers.items()
        return {name.removeprefix("unit:"): unit for name, unit in names if name.startswith("unit:") and unit}


def read(sheets: Sequence[Sheet], answers: Mapping[str, str], *, currency: str, into: str = "") -> Reading:
    """Read all tables of one kind. `answers` by the questions' names; what is not answered is proposed or asked."""
    tables = [table for sheet in sheets if (table := headings.table(sheet)) is not None]
    if not tables:
        raise Refused(
            "No row of column heads was found, such as Date, Item, Price. Write one above the rows, and send the file again.",
            field="file",
        )
    columns = [_columns(table) for table in tables]
    largest = max(range(len(tables)), key=lambda at: len(tables[at].rows))
    for name, ways in (("date_order", ORDERS), ("decimal", MARKS)):
        if answers.get(name) and answers[name] not in dict(ways):
            raise Refused(
                f"“{answers[name][:20]}” is no answer to {name}; choose one of {', '.join(dict(ways))}.", field=name
            )
    kind = kind_of(into or answers.get("into") or headings.guess(columns[largest]))
    kept, unread = [], [f"{sheet.name}: no row of column heads" for sheet in sheets if headings.table(sheet) is None]
    for table, cells in zip(tables, columns, strict=True):
        if table is tables[largest] or _missing(kind, headings.propose(kind, cells)) == []:
            kept.append((table, cells))
        else:
            unread.append(f"{table.sheet.name}: {_guessed(cells)}")
    reading = Reading(kind, tuple(dict.fromkeys(head for _, cells in kept for head in cells)), unread=unread)
    meaning = _meanings(reading, kept, answers)
    order = answers.get("date_order") or values.order_of(
        value
        for _, cells in kept
        for head, each in cells.items()
        if meaning.get(head) and meaning[head].holds == "date"
        for value in each
        if isinstance(value, str)
    )
    hand = _Hand(currency, answers, order)
    for table, cells in kept:
        passed = dict(table.passed)
        reading.rows += _rows(reading, table, cells, meaning, hand, passed)
        reading.passed += [f"{_where(table, row)}: {passed[row]}" for row in sorted(passed)]
    for name in answers:  # what was answered stays on the page, though it is no longer open
        if name in ("date_order", "decimal") or name.startswith("unit:"):
            hand.asks.setdefault(name, "")
    reading.questions += [_asked(name, text, answers) for name, text in hand.asks.items()]
    return reading


def _guessed(cells: Mapping[str, list[Value]]) -> str:
    name = headings.guess(cells)
    return f"looks like {KINDS[name].name}; bring the file in once more as those"


def _where(table: Table, row: int) -> str:
    return f"{table.sheet.name}, row {row}" if table.sheet.name else f"row {row}"


def _columns(table: Table) -> dict[str, list[Value]]:
    """The cells under each head, in order; a head that is there twice is told apart by a number."""
    return {
        head: [value for row in table.rows if (value := table.sheet.at(row, column)) is not None]
        for column, head in _named(table).items()
    }


def _named(table: Table) -> dict[int, str]:
    found: dict[int, str] = {}
    filled = {column for row in table.rows for column in table.sheet.rows[row]}
    for column in sorted(filled):
        head = table.columns.get(column, f"Column {letter(column)}")
        said = {each.casefold() for each in found.values()}
        found[column] = head if head.casefold() not in said else f"{head} ({letter(column)})"
    return found


def _missing(kind: Kind, found: Mapping[str, str]) -> list[Field]:
    return [each for each in kind.fields if each.needed and each.name not in found.values()]


def _meanings(
    reading: Reading, kept: Sequence[tuple[Table, dict[str, list[Value]]]], answers: Mapping[str, str]
) -> dict[str, Field]:
    """The field of each head that has one, proposed or answered, with the questions about all of them."""
    kind = reading.kind
    proposed: dict[str, str] = {}
    for _, cells in kept:
        for head, name in headings.propose(kind, cells).items():
            proposed.setdefault(head, name)
    known = {each.name for each in kind.fields}
    choices = ((NOT_BROUGHT, "not brought in"), *((each.name, each.label) for each in kind.fields))
    reading.questions.append(
        Question(
            "into",
            "What the rows are",
            tuple((each.name, each.label) for each in KINDS.values()),
            kind.name,
            needed=True,
        )
    )
    found = {}
    for head in reading.heads:
        answer = answers.get(f"column:{head}", "")
        answer = answer if answer in (*known, NOT_BROUGHT) else proposed.get(head, NOT_BROUGHT)
        example = next((str(value) for _, cells in kept for value in cells.get(head, [])), "")
        help_ = f"such as {example[:40]}" if example else "empty"
        reading.questions.append(Question(f"column:{head}", head, choices, answer, help_, group=COLUMNS))
        if answer != NOT_BROUGHT:
            found[head] = kind.field(answer)
    for _, cells in kept:
        names = [found[head].name for head in cells if head in found and not found[head].many]
        for twice in {name for name in names if names.count(name) > 1}:
            label = kind.field(twice).label
            reading.faults.append(
                f"Two columns are both “{label}”. Choose one of them, and another meaning for the other."
            )
    for each in kind.fields:
        if each.needed and each.name not in {one.name for one in found.values()}:
            reading.faults.append(f"No column is “{each.label}”. Choose the one that has it.")
    return found


def _rows(
    reading: Reading,
    table: Table,
    cells: Mapping[str, list[Value]],
    meaning: Mapping[str, Field],
    hand: _Hand,
    passed: dict[int, str],
) -> Iterator[Row]:
    used = {column: head for column, head in _named(table).items() if head in meaning}
    styles = {head: _style(cells[head], table, hand) for head in used.values()}
    needed = [each for each in reading.kind.fields if each.needed]
    above: dict[int, Value] = {}
    for number in table.rows:
        row = Row(table.sheet.name, number, {}, {})
        doubts, waits = [], False
        here = table.sheet.rows[number]
        if len(here) == 1 and len(needed) > 1 and not any(at[0] == number for at in table.sheet.merged):
            passed[number] = f"only “{str(next(iter(here.values())))[:40]}” stands there"
            continue
        for column, head in used.items():
            value, each = table.sheet.at(number, column), meaning[head]
            if isinstance(value, str) and value.casefold() in _DITTO:
                value = above.get(column)
            if value is None or (isinstance(value, str) and value.casefold() in _BLANK):
                continue
            above[column] = value
            row.cells[each.name] = (column, head, str(value))
            try:
                if fault := table.sheet.faults.get((number, column)):
                    raise Unread(fault)
                read_as = _value(value, each, styles[head], head, hand)
                before = row.found.get(each.name)
                row.found[each.name] = f"{before}, {read_as}" if each.many and before else read_as
            except Unread as unread:
                if unread.asks:
                    hand.asks.setdefault(unread.asks, str(value))
                    waits = True
                else:
                    doubts.append(row.doubt(str(unread), each.name))
        doubts += [
            row.doubt(f"no {each.label.lower()}", each.name)
            for each in needed
            if each.name not in row.cells and each.name in {one.name for one in meaning.values()}
        ]
        if doubts:
            reading.doubts += doubts
        else:
            yield replace(row, waits=waits)


def _style(cells: Sequence[Value], table: Table, hand: _Hand) -> Style:
    texts = [value for value in cells if isinstance(value, str)]
    mark = values.decimal_mark(texts)
    above = [line for row, line in table.sheet.rows.items() if row < table.head]
    titles = [table.sheet.name, *(str(value) for line in above for value in line.values())]
    years = {int(found) for title in titles for found in _YEAR.findall(title)}
    if mark in ("", "?"):
        mark = hand.answers.get("decimal", "") if mark == "" else mark
    return Style(mark, hand.order, years.pop() if len(years) == 1 else None)


def _value(value: Value, each: Field, style: Style, head: str, hand: _Hand) -> Read:
    if each.holds == "date":
        return values.day(value, style)
    if each.holds == "money":
        return values.money(value, style, hand.currency)
    if each.holds == "moved":
        return values.moved(value, style, hand.currency)
    if each.holds == "count":
        return values.measure(value, style, hand.words).amount
    if each.holds == "amount":
        measured = values.measure(value, style, hand.words)
        said = "" if measured.unit else headings.bracketed(head)
        return replace(measured, unit=values.unit_of(said, hand.words)) if said else measured
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def _asked(name: str, text: str, answers: Mapping[str, str]) -> Question:
    given = answers.get(name, "")
    if name == "date_order":
        such = f"Dates such as {text} are" if text else "Dates are"
        return Question(name, such, ORDERS, given, "of the whole file", needed=True)
    if name == "decimal":
        such = f"In figures such as {text}, decimals follow" if text else "Decimals follow"
        return Question(name, such, MARKS, given, needed=True)
    word = name.partition(":")[2]
    return Question(
        name, f"“{word}” is", UNITS, given, f"as in {text[:40]}" if text else "", needed=True, group="Units"
    )
