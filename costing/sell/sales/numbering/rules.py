"""Numbers of papers: one after the other in their series, none skipped, none twice.

Owns how a number is written and which comes next. Must not know a database: two hands that ask at once are parted by the
service that holds the lock. Source of the duty: Directive 2006/112/EC art. 226(2) and UK VAT Regulations 1995
reg. 14(1)(a), a sequential number based on one or more series. That no number may be missing is the stricter reading.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice, pairwise

from costing.make.errors import NAMED, some
from inventory.errors import Refused


class NumberRefused(Refused):
    """A series that is not whole: a number that is not its own, one on two papers, or numbers that no paper carries."""


@dataclass(frozen=True)
class Series:
    """A run of numbers: `prefix` and at least `digits` digits, from `first` on. "INV-" gives INV-001."""

    prefix: str
    digits: int = 3
    first: int = 1

    def write(self, count: int) -> str:
        """How the paper with this count is numbered.

        >>> Series("INV-").write(7), Series("INV-").write(1234)
        ('INV-007', 'INV-1234')
        """
        return f"{self.prefix}{count:0{self.digits}d}"

    def read(self, number: str) -> int:
        """The count behind a number; NumberRefused for one that this series would not write.

        >>> Series("INV-").read("INV-012")
        12
        """
        found = re.fullmatch(rf"{re.escape(self.prefix)}([0-9]+)", number, re.ASCII)
        count = int(found[1]) if found else -1
        if count < self.first or self.write(count) != number:
            raise NumberRefused(
                f"“{number}” is not a number of this series, whose first is {self.write(self.first)}; look for the paper under"
                " another series.",
                field="number",
            )
        return count


def next_number(series: Series, used: Iterable[str]) -> str:
    """The number after the last used one; the first for a new series.

    `used` are all numbers of the series, in any order. Raises NumberRefused for one that is strange to it or
    there twice, and when a number below the last is on no paper: a gap is answered before it grows.

    >>> next_number(Series("INV-"), ["INV-002", "INV-001"])
    'INV-003'
    >>> next_number(Series("CN-"), [])
    'CN-001'
    """
    counts: set[int] = set()
    for number in used:
        count = series.read(number)
        if count in counts:
            raise NumberRefused(
                f"{number} is on two papers; find out which one was issued and credit the other before a new one.",
                field="number",
            )
        counts.add(count)
    last = max(counts, default=series.first - 1)
    if absent := last - series.first + 1 - len(counts):
        # A mistyped number may lie a billion off: only as many are written out as a sentence names.
        named = [series.write(count) for count in islice(_missing(series, counts), NAMED)]
        raise NumberRefused(
            f"The series runs to {series.write(last)}, but no paper carries {some(named, absent)}; restore what is missing"
            " before a new number is given.",
            field="number",
        )
    return series.write(last + 1)


def _missing(series: Series, counts: set[int]) -> Iterator[int]:
    for before, after in pairwise([series.first - 1, *sorted(counts)]):
        yield from range(before + 1, after)
