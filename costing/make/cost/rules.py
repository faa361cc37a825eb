"""Shares of a batch's costs: which skin is charged how much of each line, exactly.

Owns the sharing rule and the two costs that stand side by side: *book* (money paid) and *full* (book, own time, overhead and
frame wear); who bears a line is said in `lines.rules`. Everything is a `Fraction` until `rounded` makes the figures that people
read, once. Must not read a database, know a currency, or round on the way.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import date
from decimal import Decimal
from fractions import Fraction
from operator import add, attrgetter

from costing.make.cost.lines.rules import Line, Stay, takers
from costing.make.cost.rates.rules import Rates
from inventory.money import Exact, allocate, half_up, parts_of
from inventory.units import MINUTES_PER_HOUR

NOTHING = Fraction(0)
EXACT_PLACES = 9  # of frozen parts


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
        return Share(*map(add, _parts(self), _parts(other)))

    def times(self, fraction: Fraction | int) -> Share:
        """This share scaled, every part alike: a third of a skin bears a third of each cost.

        >>> Share(materials=Fraction(9)).times(Fraction(1, 3)).materials
        Fraction(3, 1)
        """
        return Share(*(part * fraction for part in _parts(self)))

    def text(self) -> str:
        """Its parts in their order, whole or as n/d, so that a database keeps them without rounding; `read` reads it.

        >>> Share(materials=Fraction(10, 4), minutes=Fraction(90)).text()
        '0;5/2;0;90;0;0;0;0'
        """
        return ";".join(map(str, _parts(self)))

    @classmethod
    def read(cls, text: str) -> Share:
        """The share that was written so; ValueError for anything else."""
        ratios = (part.partition("/") for part in text.split(";"))
        parts = [Fraction(int(over), int(under or 1)) for over, _, under in ratios]
        if len(parts) != len(fields(cls)):
            raise ValueError(f"“{text}” is no share of {len(fields(cls))} parts")
        return cls(*parts)

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


_parts = attrgetter(*(part.name for part in fields(Share)))


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


def share_out(
    lines: Iterable[Line], stays: Sequence[Stay], places: int | None = None
) -> tuple[dict[str, Share], Share]:
    """Share each line among its takers by weight, exactly; every skin of `stays` has an entry.

    Returns the shares and what nobody could bear (a batch without skins). Share of a taker = line × weight / weights;
    a lacing is borne whole by each taker. With `places`, money finer than the currency's smallest coin is a ValueError:
    it cannot have been paid.
    """
    # Lines with the same takers at the same weights are added up on whole numbers and divided once: the same, but quick.
    wholes: dict[tuple[tuple[str, Fraction], ...], _Whole] = defaultdict(_Whole)
    lacings: dict[str, _Whole] = defaultdict(_Whole)
    known: dict[tuple[date, tuple[str, ...]], tuple[Stay, ...]] = {}
    for line in lines:
        if places is not None and Fraction(line.money) * 10**places % 1:
            raise ValueError(f"the {line.kind} line of {line.on} is {line.money}, finer than {places} decimal places")
        key = (line.on, line.skins)
        if key not in known:
            known[key] = tuple(takers(stays, line))
        bearers = known[key]
        wholes[_weighed(line, bearers)].add(line)
        for stay in bearers if line.laced or line.worn else ():
            lacings[stay.skin].lace(line, stay.skin)
    shares = {stay.skin: lacings[stay.skin].share() if stay.skin in lacings else Share() for stay in stays}
    unshared = wholes.pop((), _Whole()).share()
    for weighed, whole in wholes.items():
        line_share, weights = whole.share(), sum((weight for _, weight in weighed), NOTHING)
        for skin, weight in weighed:
            shares[skin] += line_share.times(weight / weights)
    return shares, unshared


class _Whole:
    """Parts of lines added up before sharing, exactly: by denominator, since the figures of lines have few different ones."""

    def __init__(self) -> None:
        self.parts: dict[str, dict[int, int]] = {}

    def put(self, part: str, value: Exact) -> None:
        if value:
            over, under = value.as_integer_ratio()
            sums = self.parts.setdefault(part, {})
            sums[under] = sums.get(under, 0) + over

    def add(self, line: Line) -> None:
        """A line without its frame wear, because that is not divided. Own time brings no money."""
        if line.kind != "own_time":
            self.put(line.kind, line.money)
        self.put("minutes", line.minutes)
        self.put("own_minutes", line.own_minutes)

    def lace(self, line: Line, skin: str) -> None:
        """What one skin is charged of being laced: the wear of the frame named for it, else one at the workshop's rate."""
        if skin in line.worn:
            self.put("framed", 1)
            self.put("worn", line.worn[skin])
        elif line.laced:
            self.put("laces", 1)

    def share(self) -> Share:
        return Share(
            **{part: sum((Fraction(n, d) for d, n in each.items()), NOTHING) for part, each in self.parts.items()}
        )


def _weighed(line: Line, bearers: Sequence[Stay]) -> tuple[tuple[str, Fraction], ...]:
    """Each taker with its weight in this line."""
    if not line.weights:
        return tuple((stay.skin, stay.weight) for stay in bearers)
    own = [line.weights.get(stay.skin, NOTHING) for stay in bearers]
    return tuple((stay.skin, weight if all(own) else Fraction(1)) for stay, weight in zip(bearers, own, strict=True))


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
    return split_exact([piece.book() for piece in pieces], places)


def split_exact(exact: Sequence[Fraction], places: int) -> list[Decimal]:
    """The same of their book costs before rounding."""
    total = half_up(sum(exact, NOTHING), places)
    return allocate(total, exact, places) if total else [half_up(NOTHING, places)] * len(exact)


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
