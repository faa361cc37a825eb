"""One skin into several pieces and offcuts, several skins into one piece: where the cost goes, and that none is lost.

Owns the shares that pieces take of a skin. Must not know a database or freeze a cost; `costing.make.cost.rules.split_books` turns
shares into coins. Areas are in one unit, whichever; a grade weight says what an equal area of that grade is worth beside
the best (1). Both are the maker's own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.make.cost.rules import Share
from costing.make.errors import AreaTooLarge, NotAbove, PieceTooSmall, TakesTooMuch, number
from inventory.errors import Refused
from inventory.money import Exact, allocate, half_up

FINEST = 10_000  # parts of a whole: no finer share is kept


@dataclass(frozen=True)
class Cut:
    """A piece to be cut: its area and the weight of its grade."""

    name: str
    area: Exact
    weight: Exact = 1


@dataclass(frozen=True)
class Split:
    """What each piece takes of the skin's cost, in the order given, and what the offcuts take; together the part taken."""

    pieces: tuple[Fraction, ...]
    offcuts: Fraction

    @property
    def taken(self) -> Fraction:
        """All of it together."""
        return sum(self.pieces, Fraction(0)) + self.offcuts


def split(
    skin: str,
    cuts: Sequence[Cut],
    *,
    area: Exact | None = None,
    offcut_area: Exact = 0,
    book: Exact = 0,
    offcuts: Decimal = Decimal(0),
    free: Fraction = Fraction(1),
) -> Split:
    """The free part of a skin's cost over its pieces by area × grade weight; offcuts keep a stated value, nil by default.

    share = (free - offcut share) × area × weight ÷ sum of them; offcut share = offcuts ÷ book, where `book` is the whole
    skin's book cost. Shares with more than 10 000 parts to the whole are brought to equal steps of about that fineness by
    largest remainder: they still add up, and the offcuts' value may then miss the stated one by half a step of the book.
    Raises AreaTooLarge if pieces and offcuts measure more than `area`, Refused if the offcuts keep too much, PieceTooSmall,
    NotAbove for an area or weight not above zero, TakesTooMuch when nothing is free.

    >>> split("H08", [Cut("pouch", 12), Cut("pouch", 12), Cut("pouch", 12)], area=56).pieces[0]
    Fraction(1, 3)
    >>> split("H08", [Cut("a", 30), Cut("b", 20, Fraction(3, 4))], book=Decimal("37.86"), offcuts=Decimal("1.89")).taken
    Fraction(1, 1)
    """
    if not cuts:
        raise NotAbove("The pieces", 0, "name at least one", field="pieces")
    for at, cut in enumerate(cuts):
        for what, value in (("area", cut.area), ("grade weight", cut.weight)):
            if value <= 0:
                field = what.split()[-1]
                raise NotAbove(f"The {what} of {cut.name}", value, f"enter its {what}", field=field, row=at)
    if free <= 0:
        raise TakesTooMuch(skin, Fraction(1), free)
    _refuse_larger(skin, cuts, area, offcut_area)
    kept = _offcut_share(book, offcuts, free)
    weights = [Fraction(cut.area) * Fraction(cut.weight) for cut in cuts]
    exact = [(free - kept) * weight / sum(weights) for weight in weights]
    if all(share.denominator <= FINEST for share in (kept, *exact)):
        return Split(tuple(exact), kept)
    return _in_steps(cuts, weights, kept, free)


def _refuse_larger(skin: str, cuts: Sequence[Cut], area: Exact | None, offcut_area: Exact) -> None:
    if offcut_area < 0:
        raise NotAbove("The area of the offcuts", offcut_area, "enter it, or 0", field="offcut_area", zero_too=True)
    cut = sum((Fraction(cut.area) for cut in cuts), Fraction(offcut_area))
    if area is not None and cut > area:
        raise AreaTooLarge(skin, cut, Fraction(area))


def _offcut_share(book: Exact, offcuts: Decimal, free: Fraction) -> Fraction:
    if not offcuts:
        return Fraction(0)
    there = Fraction(book) * free
    if offcuts < 0 or Fraction(offcuts) >= there:
        raise Refused(
            f"Offcuts kept at {offcuts} cannot be: the skin came to {number(there)}; enter 0, or less than that.",
            field="offcuts",
        )
    return Fraction(offcuts) / Fraction(book)


def _in_steps(cuts: Sequence[Cut], weights: Sequence[Fraction], kept: Fraction, free: Fraction) -> Split:
    """Shares in equal steps, as many to the whole as `free` divides into, so that they add up to it exactly."""
    if free.denominator > FINEST:
        raise ValueError(f"a free part of {free} is finer than one {FINEST}th, which no piece can have left")
    grain = FINEST // free.denominator * free.denominator
    steps = int(free * grain)
    kept_steps = int(half_up(kept * grain, 0))
    parts = allocate(Decimal(steps - kept_steps), weights, 0)
    for at, (cut, part) in enumerate(zip(cuts, parts, strict=True)):
        if not part:
            raise PieceTooSmall(cut.name, grain, row=at)
    return Split(tuple(Fraction(int(part), grain) for part in parts), Fraction(kept_steps, grain))


@dataclass(frozen=True)
class Part:
    """A part taken of one skin for a joined piece: what the skin has borne in all, the part, and how much of it is free."""

    skin: str
    share: Share
    part: Fraction = Fraction(1)
    free: Fraction = Fraction(1)


def join(parts: Sequence[Part], extra: Share | None = None) -> Share:
    """One piece of several skins: the sum of the parts taken of each, and of extra materials and hours put into it.

    Raises TakesTooMuch when a part is more than is free of its skin, also where one skin is named twice; NotAbove for a
    part that is not above zero, or without parts.

    >>> rabbit = Share(skin_price=Fraction("1.50"), materials=Fraction("3.145"))
    >>> join([Part("H10", rabbit), Part("H11", rabbit)]).book()
    Fraction(929, 100)
    """
    if not parts:
        raise NotAbove("The skins", 0, "name at least one", field="skins")
    taken: dict[str, Fraction] = {}
    for part in parts:
        if part.part <= 0:
            raise NotAbove(
                f"The part of {part.skin}", part.part, "enter the part that goes into the piece", field="share"
            )
        taken[part.skin] = taken.get(part.skin, Fraction(0)) + part.part
        refuse_over(part.skin, taken[part.skin], part.free)
    return sum((part.share.times(part.part) for part in parts), extra or Share())


def refuse_over(what: str, taken: Fraction, free: Fraction = Fraction(1)) -> None:
    """Raise TakesTooMuch if pieces take more of a skin than is free of it.

    >>> refuse_over("H08", Fraction(2, 3) + Fraction(1, 3))
    """
    if taken > free:
        raise TakesTooMuch(what, taken, free)
