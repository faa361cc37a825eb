"""What the writers of each kind have in common: questions about the rows, one event a row, a code for a name."""

import re
import unicodedata
from collections.abc import Container, Mapping, Sequence
from typing import ClassVar

from inventory.permits import Person
from workshop.setup.bring.questions import Question
from workshop.setup.bring.reading import Row

_CODE_LONGEST = 12


class Writer:
    """`heads`: how `shown` heads its columns; `identity`: the fields that tell one row from another when a file comes again.

    `once`: how questions begin whose answers are of this file alone, and are not remembered.
    """

    heads: ClassVar[tuple[str, ...]]
    identity: ClassVar[tuple[str, ...]]
    once: ClassVar[tuple[str, ...]] = ()

    def __init__(self, rows: Sequence[Row], answers: Mapping[str, str], by: Person) -> None:
        self.rows, self.answers, self.by = rows, answers, by

    def questions(self) -> list[Question]:
        """What these rows leave open."""
        return []

    def faults(self, row: Row) -> list[tuple[str, str]]:
        """Fields of a row that cannot be kept, and why."""
        return []

    def passes(self, row: Row) -> bool:
        """Whether the maker said that such rows are not brought in."""
        return False

    def look_again(self) -> None:
        """A row was taken back: whatever was noted as made by it is not there."""

    def write(self, row: Row) -> bool:
        """Write the one event of a row; False where it is there already."""
        raise NotImplementedError

    def shown(self, row: Row) -> list[str]:
        """The row as it would be kept, for people."""
        raise NotImplementedError


def code_from(name: str, taken: Container[str]) -> str:
    """A short code for a name, as none is yet. `taken` holds codes in small letters.

    >>> code_from("Potash alum", set()), code_from("Alum!", {"alum"}), code_from("塩", set())
    ('POTASHALUM', 'ALUM-2', 'M')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().upper()
    stem = re.sub(r"[^A-Z0-9]", "", plain)[:_CODE_LONGEST] or "M"
    found, count = stem, 1
    while found.casefold() in taken:
        count += 1
        found = f"{stem}-{count}"
    return found
