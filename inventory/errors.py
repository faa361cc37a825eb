"""Refusals of the ground floor: what happened, the values, and what to do next.

Every refusal that a person can cause is a `Refused`, raised beside the rule that it is about; views and commands print its
text as it is. One that has a class of its own is told apart by somebody: nobody searches a text for what happened.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TypeVar

Row = TypeVar("Row")
Answer = TypeVar("Answer")


class Refused(Exception):  # noqa: N818 - a refusal is an answer to the maker, not a fault in the program
    """Something was asked that must not be done. `field` names the entry at fault where there is one, and `row` where it
    is in what was given as a list, counted from 0."""

    def __init__(self, message: str, *, field: str | None = None, row: int | None = None) -> None:
        super().__init__(message)
        self.field, self.row = field, row


@contextmanager
def in_row(row: int) -> Iterator[None]:
    """Whatever is refused within speaks of this row, unless it says of which it does."""
    try:
        yield
    except Refused as refused:
        if refused.row is None:
            refused.row = row
        raise


def each_row(rows: Sequence[Row], judge: Callable[[Row], Answer]) -> list[Answer]:
    """What `judge` answers to each row; what it refuses speaks of that row."""
    answers = []
    for at, row in enumerate(rows):
        with in_row(at):
            answers.append(judge(row))
    return answers


def meant(near: Iterable[str], otherwise: str) -> str:
    """The way out of a word that is not known: what it may have meant, else what to do without any guess."""
    found = " or ".join(near)
    return f"did you mean {found}?" if found else otherwise


class SentBefore(Refused):
    """A form's key was used already, and not for this. A new key writes it."""


class DensityNeeded(Refused):
    """A volume of something kept by mass (or the reverse) whose level cup was never weighed."""

    def __init__(self, unit: str, base: str, name: str) -> None:
        super().__init__(
            f"{name or 'This material'} is kept in {base}, and {unit} becomes {base} only through its own density, which is "
            "not known: fill one cup level, weigh what is in it, and enter the grams and the cup; or give the amount in "
            f"{base}.",
            field="unit",
        )


class OutsideTable(Refused):
    """A temperature at which the published table of a substance gives nothing."""


class NotAllowed(Refused):
    """The person's role does not cover this kind of entry."""

    def __init__(self, act: str) -> None:
        super().__init__(f"Your role may not {act}. Ask the owner to do it or to change your role in Setup.")


class ShortStock(Refused):
    """More was wanted than the shelf holds. `lines` are (material name, wanted, available) as shown to the maker."""

    def __init__(
        self, lines: Sequence[tuple[str, str, str]], on: str, also: str = "", *, row: int | None = None
    ) -> None:
        said = "; ".join(f"{wanted} of {name} wanted, {there} on the shelf" for name, wanted, there in lines)
        ways = f"record the delivery, count the shelf, or use less{also}"
        super().__init__(f"Not enough on {on}: {said}. Ways out: {ways}.", field="quantity", row=row)
        self.lines = lines


class ClosedPeriod(Refused):
    """Nothing is posted on or before the day to which the books are closed."""


class Taken(Refused):
    """A tag, code or number that must be unique is used already."""

    def __init__(self, what: str, value: str, *, field: str) -> None:
        super().__init__(f"{what} {value} is used already. Choose another, or open the one that is there.", field=field)
