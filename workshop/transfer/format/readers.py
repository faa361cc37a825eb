"""How a cell becomes a value. Refuses with what to write instead; knows no file and no database."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from costing.make.readings.areas import taps
from costing.make.readings.areas.taps import Defect, Ring
from inventory import units
from inventory.base import checks
from inventory.errors import Refused

LARGEST = Decimal(10) ** 9
MOST_DECIMALS = 9
HELD_DECIMALS = 3
_PLAIN = re.compile(r"[-+]?\d{1,18}(\.\d{1,18})?", re.ASCII)
_COMMA = re.compile(r"[-+]?[\d. ]*\d,\d+", re.ASCII)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,6})?)?(Z|[-+]\d{2}:\d{2})", re.ASCII)
_FILE = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]{0,79}", re.ASCII)
_FRACTION = re.compile(r"(\d{1,9})/(\d{1,9})", re.ASCII)


@dataclass(frozen=True)
class Stay:
    """A skin's stay in a batch as written: `H01`, `H01@2025-01-20` or `H01@2025-01-20..2025-02-01`."""

    tag: str
    joined: date | None = None
    left: date | None = None


def number(*, decimals: int = MOST_DECIMALS, zero: bool = False, signed: bool = False) -> Callable[[str], Decimal]:
    """A plain number above zero (or from zero up with `zero`; any, with `signed`)."""

    def read(cell: str) -> Decimal:
        value = _decimal(cell)
        if not signed and (value < 0 or (not value and not zero)):
            raise Refused(f"It must be {'zero or more' if zero else 'more than zero'}.")
        if abs(value) > LARGEST:
            raise Refused("It is larger than any workshop holds. Check the unit.")
        exponent = value.normalize().as_tuple().exponent
        if isinstance(exponent, int) and -exponent > decimals:
            raise Refused(f"It has more than {decimals} decimals.")
        return value

    return read


def _decimal(cell: str) -> Decimal:
    if _COMMA.fullmatch(cell):
        raise Refused("It has a decimal comma. Use a point, and nothing between the thousands: 1250.50.")
    if not _PLAIN.fullmatch(cell):
        raise Refused("It is not a plain number. Write it like 1250 or 0.72.")
    return Decimal(cell)


def whole(*, least: int = 0, most: int = 3650) -> Callable[[str], int]:
    def read(cell: str) -> int:
        value = _decimal(cell)
        if value != int(value) or not least <= value <= most:
            raise Refused(f"It must be a whole number from {least} to {most}.")
        return int(value)

    return read


def day(cell: str) -> date:
    try:
        if not _ISO.fullmatch(cell):
            raise ValueError
        return date.fromisoformat(cell)
    except ValueError:
        raise Refused("It is not a date of the calendar. Write year-month-day, like 2025-01-31.") from None


def moment(cell: str) -> datetime:
    """A day, a time of day and how far its clock is from UTC: without the last, the same cell would mean many moments."""
    try:
        if not _MOMENT.fullmatch(cell):
            raise ValueError
        found = datetime.fromisoformat(cell)
        if not 1 < found.year < 9999:  # at the calendar's ends another zone's clock has no such moment
            raise ValueError
    except ValueError:
        raise Refused(
            "It is not a moment. Write day, time and zone, like 2025-01-31T14:30+02:00, or with Z at its end for UTC."
        ) from None
    return found


def file_name(cell: str) -> str:
    """The plain name of a file: no folder, no way out of one, nothing hidden."""
    if not _FILE.fullmatch(cell):
        raise Refused(
            "It is not a plain file name. Use letters a to z, figures, and . _ - (no folder), at most 80, like H01-neck.jpg."
        )
    return cell


def text(longest: int) -> Callable[[str], str]:
    return lambda cell: checks.text(cell, "The text", field="", longest=longest)


def code(cell: str) -> str:
    return checks.code(cell, "The code", field="")


def choice(words: Iterable[str]) -> Callable[[str], str]:
    known = tuple(words)

    def read(cell: str) -> str:
        if cell not in known:
            raise Refused(f"It is not a known choice. Choose one of {', '.join(known)}.")
        return cell

    return read


def yes_no(cell: str) -> bool:
    return choice(("yes", "no"))(cell) == "yes"


def recipe_unit(cell: str) -> str:
    """A unit, or % where the amount goes by the weight of the skins."""
    return "%" if cell == "%" else units.canonical(cell)


def share(cell: str) -> Fraction:
    """The part of the skins' cost that is allocated to a piece: 1/3, or a decimal up to 1."""
    fraction = _FRACTION.fullmatch(cell)
    whole_number = fraction is None or not int(fraction[2])
    value = Fraction(number()(cell)) if whole_number else Fraction(cell)
    if not 0 < value <= 1:
        raise Refused("A share is more than zero and at most 1. Write it like 1/3 or 0.25; empty is the whole.")
    return value


def tags(cell: str) -> tuple[str, ...]:
    return tuple(stay.tag for stay in stays(cell, plain=True))


def stays(cell: str, *, plain: bool = False) -> tuple[Stay, ...]:
    """Tags with a space between, each with its own days where it has some."""
    found = tuple(_stay(word, plain) for word in cell.split())
    names = [stay.tag.casefold() for stay in found]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise Refused(f"{', '.join(twice).upper()} is named twice.")
    return found


@dataclass(frozen=True)
class LacedTo:
    """A skin by its tag, the frame it was laced to by its number, and the day it came off, if that is known."""

    tag: str
    frame: str
    off: date | None = None

    def __str__(self) -> str:
        return f"{self.tag}@{self.frame}" + (f"..{self.off}" if self.off else "")


def lacings(cell: str) -> tuple[LacedTo, ...]:
    """Skins with the frames they were laced to, a space between."""
    return tuple(_laced(word) for word in cell.split())


def _laced(word: str) -> LacedTo:
    tag, _, rest = word.partition("@")
    frame, dots, off = rest.partition("..")
    checks.code(tag, "The tag", field="")
    checks.code(frame, "The frame's number", field="")
    return LacedTo(tag, frame, day(off) if dots else None)


def points(cell: str) -> Ring:
    """`x,y x,y …` in pixels."""
    return taps.points(cell, "")


def defects(cell: str) -> tuple[Defect, ...]:
    """Each its kind, a colon and its points, with a semicolon between two."""
    return taps.defects(cell.replace(";", "\n"), "")


def _stay(word: str, plain: bool) -> Stay:
    tag, at, days = word.partition("@")
    if at and plain:
        raise Refused(f"{word}: only tags belong here, with a space between.")
    checks.code(tag, "The tag", field="")
    if not at:
        return Stay(tag)
    joined, dots, left = days.partition("..")
    return Stay(tag, day(joined), day(left) if dots else None)
