"""Refusals of the ground floor: what happened, the values, and what to do next.

Every refusal that a person can cause is a `Refused`; views and commands print its text as it is. One that has a class of its
own is told apart by somebody, and carries its values as attributes: nobody searches a text for them.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from string import Formatter
from typing import Any, TypeVar, dataclass_transform

# How a value is written in a sentence, by the name behind its colon; the floors above add theirs.
WRITTEN: dict[str, Callable[[Any], str]] = {"list": ", ".join}


class _Sentence(Formatter):
    """A sentence whose braces name attributes of the refusal."""

    def get_field(self, field_name: str, args: Any, kwargs: Any) -> tuple[Any, str]:
        return getattr(kwargs["refused"], field_name), field_name

    def format_field(self, value: Any, format_spec: str) -> str:
        return WRITTEN[format_spec](value) if format_spec else str(value)


_SENTENCE = _Sentence()


class Refused(Exception):  # noqa: N818 - a refusal is an answer to the maker, not a fault in the program
    """Something was asked that must not be done. `field` names the entry at fault where there is one, and `row` where it
    is in what was given as a list, counted from 0.

    A class of the family `says` its text with its attributes in braces, and how they are written behind a colon.
    """

    field: str | None = None
    row: int | None = None
    says = ""

    def __init_subclass__(cls, *, field: str | None = None) -> None:
        super().__init_subclass__()
        if field is not None:
            cls.field = field

    def __init__(self, message: str, *, field: str | None = None, row: int | None = None) -> None:
        super().__init__(message)
        self.field = self.field if field is None else field
        self.row = row

    def __str__(self) -> str:
        return _SENTENCE.vformat(self.says, (), {"refused": self}) if self.says else super().__str__()

    @property
    def message(self) -> str:
        return str(self)


Row = TypeVar("Row")
Answer = TypeVar("Answer")
Family = TypeVar("Family", bound=Refused)


@dataclass_transform(eq_default=False)
def refusal(kind: type[Family]) -> type[Family]:
    """A class of the family: its attributes are given in their order or by name, and its text is made of them."""
    return dataclass(eq=False, repr=False)(kind)


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


class SentBefore(Refused):
    """A form's key was used already, and not for this. A new key writes it."""


@refusal
class UnknownUnit(Refused, field="unit"):
    word: str
    near: tuple[str, ...]
    says = "“{word}” is not a unit known here; {hint}"

    @property
    def hint(self) -> str:
        return _meant(self.near) or "use one of the units in the list, such as kg, L or piece."


@refusal
class AmbiguousUnit(Refused, field="unit"):
    word: str
    choices: tuple[str, ...]
    says = "“{word}” is not one size everywhere; say which: {choices:list}."


@refusal
class DensityNeeded(Refused, field="unit"):
    """A volume of something kept by mass (or the reverse) whose level cup was never weighed."""

    unit: str
    base: str
    name: str
    says = (
        "{called} is kept in {base}, and {unit} becomes {base} only through its own density, which is not known: fill one cup"
        " level, weigh what is in it, and enter the grams and the cup; or give the amount in {base}."
    )

    @property
    def called(self) -> str:
        return self.name or "This material"


@refusal
class UnknownSubstance(Refused, field="substance"):
    word: str
    near: tuple[str, ...]
    says = "“{word}” is not a substance known here; {hint}"

    @property
    def hint(self) -> str:
        return _meant(self.near) or "choose one from the list, or leave it empty."


@refusal
class AmbiguousSubstance(Refused, field="substance"):
    word: str
    choices: tuple[str, ...]
    says = (
        "“{word}” is sold as different things of different strength; read the sack or its safety data sheet and say which: "
        "{choices:list}."
    )


@refusal
class WrongSubstance(Refused, field="substance"):
    slug: str
    wanted: str
    says = "{slug} carries no {wanted}; choose a substance that does."


@refusal
class OutsideTable(Refused, field="celsius"):
    """A temperature at which the published table of a substance gives nothing."""

    name: str
    celsius: Decimal
    coldest: int
    warmest: int
    says = (
        "What water holds of {name} is known from {coldest} to {warmest} °C, not at {celsius} °C; give a temperature between, "
        "or see its safety data sheet."
    )


@refusal
class NotAllowed(Refused):
    """The person's role does not cover this kind of entry."""

    act: str
    says = "Your role may not {act}. Ask the owner to do it or to change your role in Setup."


@refusal
class ShortStock(Refused, field="quantity"):
    """More was wanted than the shelf holds. `lines` are (material name, wanted, available) as shown to the maker."""

    lines: Sequence[tuple[str, str, str]]
    on: str
    also: str = ""
    row: int | None = None

    def __str__(self) -> str:
        said = "; ".join(f"{wanted} of {name} wanted, {there} on the shelf" for name, wanted, there in self.lines)
        ways = "record the delivery, count the shelf, or use less"
        return f"Not enough on {self.on}: {said}. Ways out: {ways}{self.also}."


@refusal
class ClosedPeriod(Refused, field="on"):
    """Nothing is posted on or before the day to which the books are closed."""

    on: str
    closed_to: str
    says = "The books are closed to {closed_to}, so nothing can be written on {on}. Use a later date, or reopen them in Setup."


@refusal
class Taken(Refused):
    """A tag, code or number that must be unique is used already."""

    what: str
    value: str
    field: str
    says = "{what} {value} is used already. Choose another, or open the one that is there."


def _meant(near: tuple[str, ...]) -> str:
    return f"did you mean {' or '.join(near)}?" if near else ""
