"""Shares of a batch's costs: which skin is charged how much of each line, exactly.

Owns the sharing rule and the two costs that stand side by side: *book* (money paid) and *full* (book, own time,
overhead and frame wear). Everything is a `Fraction` until `rounded` makes the figures that people read, once.
Must not read a database, know a currency, or round on the way.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.make.cost.rates.rules import Rates
from inventory.money import Exact, allocate, half_up, parts_of
from inventory.units import MINUTES_PER_HOUR

Kind = Literal["skin_price", "materials", "paid_help", "own_time"]
NOTHING = Fraction(0)
EXACT_PLACES = 9  # of frozen parts


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


@dataclass(frozen=True)
class Share:
    """What one skin (or article) has borne, exactly. Shares add up, and split by a fraction.

    `laces` are lacings at the workshop's rate, `framed` those on frames of their own, which wore off `worn` in money.
    """

    skin_price: Fraction = NOTHING
    materials: Fraction = NOTHING
    paid_help: Fraction = NOTHING
    minutes: Fraction = NOTHING
    own_minutes: Fraction = NOTHING
    laces: Fraction = NOTHING
    framed: Fraction = NOTHING
    worn: Fraction = NOTHING

    def __add__(self, other: Share) -> Share:
        return Share(*(getattr(self, part.name) + getattr(other, part.name) for part in fields(self)))

    def times(self, fraction: Fraction | int) -> Share:
        """This share scaled, every part alike: a third of a skin bears a third of each cost.

        >>> Share(materials=Fraction(9)).times(Fraction(1, 3)).materials
        Fraction(3, 1)
        """
        return Share(*(getattr(self, part.name) * fraction for part in fields(self)))

    def book(self) -> Fraction:
        """Money actually paid: skin + materials + paid help. The owner's hours are never in it."""
        return self.skin_price + self.materials + self.paid_help

    def hours(self) -> Fraction:
        """All hours worked, by whomever: minutes / 60."""
        return self.minutes / MINUTES_PER_HOUR

    def own_hours(self) -> Fraction:
        """The owner's hours: own minutes / 60."""
        return self.own_minutes / MINUTES_PER_HOUR

    def own_time(self, rates: Rates) -> Fraction:
        """Owner's hours × wage per hour, in money."""
        return self.own_hours() * Fraction(rates.wage_per_hour)

    def overhead(self, rates: Rates) -> Fraction:
        """All hours × overhead per hour, in money: the shed is heated for a helper too."""
        return self.hours() * Fraction(rates.overhead_per_hour)

    def wear(self, rates: Rates) -> Fraction:
        """Lacings × frame wear per lacing + what was worn off frames that were named, in money."""
        return self.laces * Fraction(rates.frame_wear) + self.worn

    def full(self, rates: Rates) -> Fraction:
        """Book + own time + overhead + frame wear, in money.

        >>> share = Share(skin_price=Fraction(12), minutes=Fraction(90), own_minutes=Fraction(90), laces=Fraction(1))
        >>> share.full(Rates(Decimal("16.00"), Decimal("4.00"), Decimal("1.50")))
        Fraction(87, 2)
        """
        return self.book() + self.own_time(rates) + self.overhead(rates) + self.wear(rates)


@dataclass(frozen=True)
class RoundedCost:
    """A share as people read it: `book` and `full` round the exact sums, and the parts are apportioned to add up to them."""

    skin_price: Decimal
    materials: Decimal
    paid_help: Decimal
    own_time: Decimal
    overhead: Decimal
    frame_wear: Decimal
    book: Decimal
    full: Decimal
    hours: Decimal
    own_hours: Decimal

    @property
    def left_over(self) -> Decimal:
        """What `full` is beside all its parts: nought, or a step that rounding pieces of one skin left to this one."""
        paid = self.skin_price + self.materials + self.paid_help
        return self.full - paid - self.own_time - self.overhead - self.frame_wear


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


def share_out(
    lines: Iterable[Line], stays: Sequence[Stay], places: int | None = None
) -> tuple[dict[str, Share], Share]:
    """Share each line among its takers by weight, exactly; every skin of `stays` has an entry.

    Returns the shares and what nobody could bear (a batch without skins). Share of a taker = line × weight / weights;
    a lacing is borne whole by each taker. With `places`, money finer than the currency's smallest coin is a ValueError:
    it cannot have been paid.
    """
    shares = {stay.skin: Share() for stay in stays}
    unshared = Share()
    for line in lines:
        if places is not None and Fraction(line.money) * 10**places % 1:
            raise ValueError(f"the {line.kind} line of {line.on} is {line.money}, finer than {places} decimal places")
        whole = _whole(line)
        bearers = takers(stays, line)
        if not bearers:
            unshared += whole
        weights = _weights(line, bearers)
        all_of_them = sum(weights, NOTHING)
        for stay, weight in zip(bearers, weights, strict=True):
            shares[stay.skin] += whole.times(weight / all_of_them) + _lacing(line, stay.skin)
    return shares, unshared


def _weights(line: Line, bearers: Sequence[Stay]) -> list[Fraction]:
    if not line.weights:
        return [Fraction(stay.weight) for stay in bearers]
    own = [line.weights.get(stay.skin, NOTHING) for stay in bearers]
    return own if all(own) else [Fraction(1)] * len(own)


def _whole(line: Line) -> Share:
    """A line before sharing. Frame wear is not in it, because it is not divided."""
    # Own time brings no money; every other kind is named after its part.
    paid = {} if line.kind == "own_time" else {line.kind: Fraction(line.money)}
    return Share(**paid, minutes=Fraction(line.minutes), own_minutes=Fraction(line.own_minutes))


def _lacing(line: Line, skin: str) -> Share:
    """What one skin is charged of being laced: the wear of the frame named for it, else one at the workshop's rate."""
    if skin in line.worn:
        return Share(framed=Fraction(1), worn=Fraction(line.worn[skin]))
    return Share(laces=Fraction(1 if line.laced else 0))


def rounded(share: Share, rates: Rates, places: int, frozen: tuple[Decimal, Decimal] | None = None) -> RoundedCost:
    """Round a share once, half up: `book` and `full` from the exact sums, or as they were `frozen`; hours at two places.

    The parts add up to them as they are shown: skin, materials and paid help to `book`, and with the other three to `full`. Where
    a frozen `full` is a step apart from `book` and there is no other part, `RoundedCost.left_over` is that step.
    """
    book, full = frozen or (half_up(share.book(), places), half_up(share.full(rates), places))
    skin_price, materials, paid_help = parts_of(book, [share.skin_price, share.materials, share.paid_help], places)
    unpaid = [share.own_time(rates), share.overhead(rates), share.wear(rates)]
    own_time, overhead, frame_wear = parts_of(full - book, unpaid, places)
    return RoundedCost(
        skin_price=skin_price,
        materials=materials,
        paid_help=paid_help,
        own_time=own_time,
        overhead=overhead,
        frame_wear=frame_wear,
        book=book,
        full=full,
        hours=half_up(share.hours(), 2),
        own_hours=half_up(share.own_hours(), 2),
    )


def split_books(pieces: Sequence[Share], places: int) -> list[Decimal]:
    """Book costs of pieces finished together: their exact sum is rounded once, half up, and split by largest remainder.

    So no cent is lost between pieces of one skin. Money out, one figure a piece.

    >>> third = Share(materials=Fraction("37.855")).times(Fraction(1, 3))
    >>> [str(book) for book in split_books([third] * 3, 2)]
    ['12.62', '12.62', '12.62']
    """
    exact = [piece.book() for piece in pieces]
    total = half_up(sum(exact, NOTHING), places)
    return allocate(total, exact, places) if total else [half_up(NOTHING, places)] * len(pieces)


def parted(cost: Share, salvage: Exact) -> tuple[Share, Share]:
    """What stays with a lost skin, and what the others bear: salvage of its money stays, the rest and all hours go over.

    What stays is the cost of the scrap that was sold, never more than the skin had cost; it is taken from price, materials
    and help in the proportion in which they stand. Money below zero is counted as none.

    >>> stays, borne = parted(Share(skin_price=Fraction(30), materials=Fraction(10), minutes=Fraction(90)), 10)
    >>> stays.book(), borne.book(), borne.minutes
    (Fraction(10, 1), Fraction(30, 1), Fraction(90, 1))
    """
    book = cost.book()
    part = min(max(Fraction(salvage), Fraction(0)), book) / book if book else Fraction(0)
    money = Share(cost.skin_price, cost.materials, cost.paid_help)
    stays = money.times(part)
    return stays, cost + stays.times(-1)
