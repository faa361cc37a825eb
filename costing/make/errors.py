"""Refusals of selling, papers and results; see `costing.errors` for those of making and `inventory.errors` for the base."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.errors import Refused
from inventory.money import half_up

NAMED = 5  # so many of a long list are named in a sentence


def _some(words: Sequence[str], count: int | None = None) -> str:
    """A long list shortened for a sentence: the first few and how many more. `count` where only some are at hand."""
    more = (len(words) if count is None else count) - NAMED
    return ", ".join(words[:NAMED]) + (f" and {more} more" if more > 0 else "")


def _coin(value: Decimal) -> str:
    """Money for a sentence, whatever places it was kept at: two at least, and no nought beyond them."""
    digits = -int(value.normalize().as_tuple().exponent)
    return f"{value:.{max(2, digits)}f}"


def _number(value: Fraction) -> str:
    """An exact figure for a sentence: at most two places, without needless noughts."""
    return f"{half_up(value, 2).normalize():f}"


def _percent(part: Fraction) -> str:
    """A part in percent to two places, or 'a little over' where rounding would hide the reason of a refusal."""
    shown = _number(part * 100)
    return "a little over 100 %" if part > 1 and shown == "100" else f"{shown} %"


class TakesTooMuch(Refused):
    """Pieces take more of a skin than there is. `taken` and `free` are parts of one whole."""

    def __init__(self, what: str, taken: Fraction, free: Fraction) -> None:
        super().__init__(
            f"The pieces take {_percent(taken)} of {what}, but {_percent(free)} of it is free; make them smaller or fewer.",
            field="share",
        )
        self.what = what
        self.taken = taken
        self.free = free


class AreaTooLarge(Refused):
    """Pieces and offcuts that together are larger than the skin they were cut from. Areas in one unit, named if known."""

    def __init__(self, what: str, cut: Fraction, whole: Fraction, unit: str = "") -> None:
        of = f" {unit}" if unit else ""
        super().__init__(
            f"Pieces and offcuts add up to an area of {_number(cut)}{of}, but {what} measures {_number(whole)}{of};"
            " measure again, or leave a piece out.",
            field="area",
        )
        self.what = what
        self.cut = cut
        self.whole = whole


class OffcutsTooDear(Refused):
    """Offcuts kept at as much as the skin they came from has cost, or below nought."""

    def __init__(self, value: Decimal, book: Fraction) -> None:
        super().__init__(
            f"Offcuts kept at {value} cannot be: the skin came to {_number(book)}; enter 0, or less than that.",
            field="offcuts",
        )
        self.value = value
        self.book = book


class PieceTooSmall(Refused):
    """A piece whose share of the skin is too small to be written. `parts` is how many there are to the whole."""

    def __init__(self, piece: str, parts: int) -> None:
        super().__init__(
            f"{piece} takes less than one part in {parts} of the skin; count it among the offcuts.", field="area"
        )
        self.piece = piece
        self.parts = parts


class LossRateOutOfRange(Refused):
    """A chance of loss outside 0 to 1."""

    def __init__(self, rate: Decimal | Fraction | int) -> None:
        super().__init__(
            f"A loss rate of {rate} cannot be; enter the part that is lost, from 0 for none to 1 for all.",
            field="loss_rate",
        )
        self.rate = rate


class NobodyLeft(Refused):
    """A loss that was to be spread over the survivors of a batch that has none."""

    def __init__(self, skin: str) -> None:
        super().__init__(f"Nothing survived beside {skin}, so its loss can only be written off.", field="how")
        self.skin = skin


def _plain(value: Decimal) -> str:
    """Without needless noughts: 6.500 -> "6.5"."""
    return f"{value.normalize():f}"


class MissingMeasure(Refused):
    """A recipe line that needs a measure nobody has entered yet. `measure` names it as a slug."""

    def __init__(self, material: str, basis: str, measure: str, ask: str) -> None:
        super().__init__(f"{material} is reckoned {basis}: enter {ask}.", field=measure)
        self.material = material
        self.basis = basis
        self.measure = measure


class StepNotReady(Refused, ValueError):  # noqa: N818 - named like the other refusals
    """A step of a batch is logged in a way that cannot have happened. `step` is its key, `why` the rule that broke."""

    def __init__(self, step: str, name: str, on: date, why: str, remedy: str) -> None:
        super().__init__(f"“{name}” cannot be logged on {on}: {why}. {remedy}", field="on")
        self.step = step
        self.name = name
        self.on = on
        self.why = why


class NotAbove(Refused):
    """A figure that must be above nought (or not below it) is not."""

    def __init__(
        self,
        what: str,
        value: Decimal | Fraction | int,
        ask: str,
        *,
        field: str | None = None,
        nought_too: bool = False,
    ) -> None:
        bound = "cannot be below nought" if nought_too else "must be above nought"
        super().__init__(f"{what} {bound}, not {value}: {ask}.", field=field)
        self.what = what
        self.value = value


class VesselTooSmall(Refused):
    """A bath and the room its froth needs do not fit the vessel. `largest` is the bath that would."""

    def __init__(self, litres: Decimal, headroom: Decimal, vessel_litres: Decimal, largest: Decimal) -> None:
        room = f" with {_plain(headroom)} L of room above it" if headroom else ""
        way = f"make at most {_plain(largest)} L, or" if largest > 0 else "no bath of this kind does:"
        super().__init__(
            f"A bath of {_plain(litres)} L{room} does not fit a vessel of {_plain(vessel_litres)} L; {way} take a larger"
            " vessel.",
            field="litres",
        )
        self.litres = litres
        self.headroom = headroom
        self.vessel_litres = vessel_litres
        self.largest = largest


class ReadingImpossible(Refused):
    """A reading that no skin, bath or shed can give."""

    def __init__(self, what: str, value: Decimal, possible: str, *, field: str) -> None:
        super().__init__(f"{what} of {value} cannot be: {possible}. Read it again, or correct the entry.", field=field)
        self.what = what
        self.value = value


class DryingUnclear(Refused):
    """Weighings from which no drying can be told. `why` says what is wrong with them."""

    def __init__(self, why: str, remedy: str) -> None:
        super().__init__(f"No softening day can be told: {why}. {remedy}", field="weight")
        self.why = why


class NoBath(Refused):
    """A recipe from which no bath can be reckoned: nothing goes by the litre, or not on the day asked for."""

    def __init__(self, recipe: str, day: int | None, days: tuple[int, ...]) -> None:
        if days:
            said = f"{recipe} mixes no bath on day {day}; it does on day {' and '.join(map(str, days))}. Name one of these."
        else:
            said = (
                f"{recipe} reckons nothing per litre, so it has no bath to work out. Plan a batch by it: the batch's page"
                " says how much goes in."
            )
        super().__init__(said, field="day" if days else None)
        self.recipe = recipe
        self.day = day
        self.days = days


class SizeNeeded(Refused):
    """A bath was asked for without anything that tells its size."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"{why} Give its litres, or the drained weight of the skins and the litres to each kg, or a tub that was measured.",
            field="litres",
        )
        self.why = why


class StrengthUnknown(Refused):
    """A stand-in, or what it is to stand in for, of which nobody recorded how many grams of its substance a measure holds."""

    def __init__(self, material: str, code: str, substance: str, base: str) -> None:
        if base == "mL":
            why = f"how many grams of {substance.lower()} a litre of it holds is not recorded"
            way = (
                "On its page, under “Weigh a cup”, enter what a level cup of the dry stuff weighs or, of a solution, the grams"
                " dissolved in so much of it"
            )
        else:
            why, way = f"it is kept by the {base}, and no weight can be told of that", "Keep it by weight or by volume"
        super().__init__(
            f"{material} ({code}) is reckoned against its like by weight, and {why}. {way}; or use what is kept by weight.",
            field="use",
        )
        self.material, self.code, self.substance, self.base = material, code, substance, base


class NothingToReplace(Refused):
    """A material offered in place of another has no like in the bath, or a second one of its kind was offered too."""

    def __init__(self, material: str, kind: str, *, other: str = "") -> None:
        if other:
            said = f"{material} and {other} would both take the place of the same {kind}; choose one of them."
        elif kind:
            said = f"There is no {kind} in this bath that {material} could take the place of; leave it out."
        else:
            said = (
                f"{material} can take the place of nothing: only an alum stands in for an alum and a soda for a soda, and"
                " the material must name its exact substance."
            )
        super().__init__(said, field="use")
        self.material = material
        self.kind = kind
        self.other = other
