"""Refusals of making that somebody tells apart, and how figures stand in the sentences of any; see `inventory.errors`."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.errors import WRITTEN, Refused, refusal
from inventory.money import half_up

NAMED = 5  # so many of a long list are named in a sentence


def some(words: Sequence[str], count: int | None = None, *, named: int = NAMED) -> str:
    """A long list shortened for a sentence: the first few and how many more. `count` where only some are at hand."""
    more = (len(words) if count is None else count) - named
    return ", ".join(words[:named]) + (f" and {more} more" if more > 0 else "")


def coin(value: Decimal) -> str:
    """Money for a sentence, whatever places it was kept at: two at least, and no zero beyond them."""
    digits = -int(value.normalize().as_tuple().exponent)
    return f"{value:.{max(2, digits)}f}"


def plain(value: Decimal) -> str:
    """Without needless zeros: 6.500 -> "6.5"."""
    return f"{value.normalize():f}"


def number(value: Fraction) -> str:
    """An exact figure for a sentence: at most two places, without needless zeros."""
    return plain(half_up(value, 2))


def percent(part: Fraction) -> str:
    """A part in percent to two places, or 'a little over' where rounding would hide the reason of a refusal."""
    shown = number(part * 100)
    return "a little over 100 %" if part > 1 and shown == "100" else f"{shown} %"


WRITTEN.update(coin=coin, plain=plain, number=number, percent=percent)


@refusal
class TakesTooMuch(Refused, field="share"):
    """Pieces take more of a skin than there is. `taken` and `free` are parts of one whole."""

    what: str
    taken: Fraction
    free: Fraction
    says = "The pieces take {taken:percent} of {what}, but {free:percent} of it is free; make them smaller or fewer."


@refusal
class AreaTooLarge(Refused, field="area"):
    """Pieces and offcuts that together are larger than the skin they were cut from. Areas in one unit, named if known."""

    what: str
    cut: Fraction
    whole: Fraction
    unit: str = ""

    def __str__(self) -> str:
        of = f" {self.unit}" if self.unit else ""
        return (
            f"Pieces and offcuts add up to an area of {number(self.cut)}{of}, but {self.what} measures"
            f" {number(self.whole)}{of}; measure again, or leave a piece out."
        )


@refusal
class PieceTooSmall(Refused, field="area"):
    """A piece whose share of the skin is too small to be written. `parts` is how many there are to the whole."""

    piece: str
    parts: int
    row: int | None = None
    says = "{piece} takes less than one part in {parts} of the skin; count it among the offcuts."


@refusal
class LossRateOutOfRange(Refused, field="loss_rate"):
    """A chance of loss outside 0 to 1."""

    rate: Decimal | Fraction | int
    says = "A loss rate of {rate} cannot be; enter the part that is lost, from 0 for none to 1 for all."


@refusal
class MissingMeasure(Refused):
    """A recipe line that needs a measure nobody has entered yet. `measure` names it as a slug."""

    material: str
    basis: str
    measure: str
    ask: str
    says = "{material} is calculated {basis}: enter {ask}."

    def __post_init__(self) -> None:
        self.field = self.measure


class StepNotReady(Refused, ValueError):  # noqa: N818 - named like the other refusals
    """A step of a batch is logged in a way that cannot have happened. `step` is its key, `why` the rule that broke."""

    def __init__(self, step: str, name: str, on: date, why: str, remedy: str) -> None:
        super().__init__(f"“{name}” cannot be logged on {on}: {why}. {remedy}", field="on")
        self.step, self.name, self.on, self.why = step, name, on, why


@refusal
class NotAbove(Refused):
    """A figure that must be above zero (or not below it) is not."""

    what: str
    value: Decimal | Fraction | int
    ask: str
    field: str | None = None
    zero_too: bool = False
    row: int | None = None

    def __str__(self) -> str:
        bound = "cannot be below zero" if self.zero_too else "must be above zero"
        return f"{self.what} {bound}, not {self.value}: {self.ask}."


@refusal
class VesselTooSmall(Refused, field="litres"):
    """A bath and the room its froth needs do not fit the vessel. `largest` is the bath that would."""

    litres: Decimal
    headroom: Decimal
    vessel_litres: Decimal
    largest: Decimal

    def __str__(self) -> str:
        room = f" with {plain(self.headroom)} L of room above it" if self.headroom else ""
        way = f"make at most {plain(self.largest)} L, or" if self.largest > 0 else "no bath of this kind does:"
        return (
            f"A bath of {plain(self.litres)} L{room} does not fit a vessel of {plain(self.vessel_litres)} L; {way} take a"
            " larger vessel."
        )


@refusal
class ReadingImpossible(Refused):
    """A reading that no skin, bath or shed can give."""

    what: str
    value: Decimal
    possible: str
    field: str
    says = "{what} of {value} cannot be: {possible}. Read it again, or correct the entry."


@refusal
class DryingUnclear(Refused, field="weight"):
    """Weighings from which no drying can be told. `why` says what is wrong with them."""

    why: str
    remedy: str
    says = "No softening day can be calculated: {why}. {remedy}"


class NoBath(Refused):
    """A recipe from which no bath can be calculated: nothing goes by the litre, or not on the day asked for."""

    def __init__(self, recipe: str, day: int | None, days: tuple[int, ...]) -> None:
        if days:
            said = f"{recipe} mixes no bath on day {day}; it does on day {' and '.join(map(str, days))}. Name one of these."
        else:
            said = (
                f"{recipe} calculates nothing per litre, so it has no bath to work out. Plan a batch by it: the batch's page"
                " says how much goes in."
            )
        super().__init__(said, field="day" if days else None)
        self.recipe, self.day, self.days = recipe, day, days
