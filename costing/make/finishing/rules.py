"""One skin into several pieces and offcuts: where the cost goes, and that none is lost.

Owns the shares that pieces take of a skin. Must not know a database or freeze a cost; `split_books` of the cost's rules turns
shares into coins. A grade weight says what an equal area of that grade is worth beside the best (1); it is the maker's own.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.make.errors import NotAbove, number, percent
from inventory.errors import Refused
from inventory.money import Exact, allocate, half_up

FINEST = 10_000  # parts of a whole: no finer share is kept


@dataclass(frozen=True)
class Cut:
    """A piece to be cut: its area in dm² and the weight of its grade."""

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


def in_dm2(area: Fraction) -> str:
    """An area in dm² for a sentence."""
    return f"{number(area)} dm²"


def split(
    skin: str,
    cuts: Sequence[Cut],
    *,
    area: Exact | None = None,
    book: Exact = 0,
    offcuts: Decimal = Decimal(0),
    free: Fraction = Fraction(1),
    said: Callable[[Fraction], str] = in_dm2,
) -> Split:
    """The free part of a skin's cost over its pieces by area × grade weight; offcuts keep a stated value, nil by default.

    share = (free - offcut share) × area × weight ÷ sum of them; offcut share = offcuts ÷ book, where `book` is the whole
    skin's book cost. Shares with more than 10 000 parts to the whole are brought to equal steps of about that fineness by
    largest remainder: they still add up, and the offcuts' value may then miss the stated one by half a step of the book.
    NotAbove for an area or weight not above zero; refused if the pieces measure more than `area` (dm², told as it is `said`),
    when nothing is free, for offcuts at as much as the skin came to, and for a piece too small to be written.

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
        taken, there = percent(Fraction(1)), percent(free)
        raise Refused(
            f"The pieces take {taken} of {skin}, but {there} of it is free; make them smaller or fewer.", field="share"
        )
    cut_area = sum((Fraction(cut.area) for cut in cuts), Fraction(0))
    if area is not None and cut_area > area:
        raise Refused(
            f"Pieces and offcuts add up to an area of {said(cut_area)}, but {skin} measures {said(Fraction(area))};"
            " measure again, or leave a piece out.",
            field="area",
        )
    kept = _offcut_share(book, offcuts, free)
    weights = [Fraction(cut.area) * Fraction(cut.weight) for cut in cuts]
    exact = [(free - kept) * weight / sum(weights) for weight in weights]
    if all(share.denominator <= FINEST for share in (kept, *exact)):
        return Split(tuple(exact), kept)
    return _in_steps(cuts, weights, kept, free)


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
            raise Refused(
                f"{cut.name} takes less than one part in {grain} of the skin; count it among the offcuts.",
                field="area",
                row=at,
            )
    return Split(tuple(Fraction(int(part), grain) for part in parts), Fraction(kept_steps, grain))
