"""Lines of cost on a batch, the stays of its skins, and who of them bears a line. Knows no share, no database and no rounding."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

Kind = Literal["skin_price", "materials", "paid_help", "own_time"]


@dataclass(frozen=True)
class Stay:
    """One skin's time in a batch. `weight` is 1 by head, green grams by weight, cm² by area; `left` None = still in."""

    skin: str
    joined: date
    left: date | None = None
    weight: Fraction = Fraction(1)

    def __post_init__(self) -> None:
        if self.weight <= 0:
            raise ValueError(f"{self.skin} has a sharing weight of {self.weight}; it must be above zero")
        if self.left is not None and self.left < self.joined:
            raise ValueError(f"{self.skin} left on {self.left}, before it joined on {self.joined}")


@dataclass(frozen=True)
class Line:
    """One cost or piece of work on a batch. `skins` empty = everybody there on the day; `laced` = put on a frame.

    `weights`: sharing weights of its own, by skin, in place of those of the stays; one of nothing makes it go by head.
    `worn`: of the skins whose frame was named, what lacing them wore off it, in money; the others wear at the workshop's rate.
    """

    kind: Kind
    on: date
    money: Decimal = Decimal(0)
    minutes: Decimal = Decimal(0)
    skins: tuple[str, ...] = ()
    laced: bool = False
    own: bool = True
    weights: Mapping[str, Fraction] = field(default_factory=dict, hash=False)
    worn: Mapping[str, Decimal] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        if self.kind == "own_time" and self.money:
            raise ValueError(f"own time on {self.on} carries {self.money} in money; money paid for work is paid_help")
        if self.kind in ("skin_price", "materials") and self.minutes:
            raise ValueError(f"{self.kind} on {self.on} carries {self.minutes} minutes; time is its own line")

    @property
    def own_minutes(self) -> Decimal:
        """Minutes of the owner: never those of paid help, whose price is already in the money."""
        return self.minutes if self.own and self.kind == "own_time" else Decimal(0)


def present(stays: Iterable[Stay], on: date) -> list[Stay]:
    """Those in the batch on a date; the day of leaving still counts.

    >>> present([Stay("A", date(2025, 3, 4), date(2025, 3, 18))], date(2025, 3, 18))[0].skin
    'A'
    """
    return [stay for stay in stays if stay.joined <= on and (stay.left is None or on <= stay.left)]


def takers(stays: Sequence[Stay], line: Line) -> list[Stay]:
    """Who bears a line, one stay a skin.

    The skins it names; else those present that day; else, nobody being there, those who left last before it (a late
    cost is never dropped); else those who joined first after it. No stays: nobody.
    A name outside the stays: ValueError.
    """
    if line.skins:
        return _named(stays, line)
    here = present(stays, line.on)
    if here:
        # A skin that left and came back on the same day has two stays there and still is one skin.
        return list({stay.skin: stay for stay in here}.values())
    ends = [(stay.left, stay) for stay in stays if stay.left is not None and stay.left < line.on]
    if ends:
        last = max(left for left, _ in ends)
        return list({stay.skin: stay for left, stay in ends if left == last}.values())
    first = min((stay.joined for stay in stays), default=None)
    return list({stay.skin: stay for stay in stays if stay.joined == first}.values())


def _named(stays: Sequence[Stay], line: Line) -> list[Stay]:
    known = {stay.skin: stay for stay in stays} | {stay.skin: stay for stay in present(stays, line.on)}
    strangers = [skin for skin in line.skins if skin not in known]
    if strangers:
        raise ValueError(f"the {line.kind} line of {line.on} names {', '.join(strangers)}, never in this batch")
    return [known[skin] for skin in dict.fromkeys(line.skins)]
