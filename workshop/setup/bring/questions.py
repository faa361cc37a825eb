"""What a file leaves open, asked all on one page: a question, its choices, and the cells that cannot be believed."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory import units

NOT_BROUGHT = "-"
OWN_UNIT = "own"
COLUMNS = "Columns"
LEAVE, MEND = "leave", "mend"
ORDERS = (("d", "day, month, year"), ("m", "month, day, year"))
MARKS = ((".", "a point, as in 1,200.50"), (",", "a comma, as in 1.200,50"))
UNITS = tuple((unit, unit.replace("_", " ").replace("us ", "US ")) for unit in units.KNOWN)


@dataclass(frozen=True)
class Question:
    """`choices` empty: words are typed. `preset` is what stands there; `needed`: must be answered before anything is brought in.

    `unconfirmed`: what stands there is only proposed, and counts when it was answered.
    """

    name: str
    label: str
    choices: tuple[tuple[str, str], ...] = ()
    preset: str = ""
    help: str = ""
    needed: bool = False
    group: str = ""
    unconfirmed: bool = False

    @property
    def open(self) -> bool:
        return self.needed and (self.unconfirmed or not self.preset)


@dataclass(frozen=True)
class Doubt:
    """A cell that cannot be kept as it is. `column` as spreadsheets letter them; empty where the whole row is meant."""

    sheet: str
    row: int
    column: str
    head: str
    value: str
    why: str

    def __str__(self) -> str:
        where = ", ".join(
            part for part in (self.sheet, f"row {self.row}", self.column and f"column {self.column}") if part
        )
        what = " ".join(part for part in (self.head, f"“{self.value}”" if self.value else "") if part)
        return f"{where}{', ' + what if what else ''}: {self.why}"


def letter(column: int) -> str:
    """The letters of a column, from 1.

    >>> letter(1), letter(27)
    ('A', 'AA')
    """
    found = ""
    while column:
        column, rest = divmod(column - 1, 26)
        found = chr(ord("A") + rest) + found
    return found


def unanswered(questions: Iterable[Question]) -> list[Question]:
    return [question for question in questions if question.open]
