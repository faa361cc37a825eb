"""Refusals of the upper floor; see `inventory.errors` for the base."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.errors import Refused


def _plain(value: Decimal) -> str:
    """Without needless noughts: 6.500 -> "6.5"."""
    return f"{value.normalize():f}"


class FeeOutOfRange(Refused):
    """A selling fee outside 0 up to (not including) 100 percent of the price."""

    def __init__(self, channel: str, fee_percent: Decimal) -> None:
        super().__init__(
            f"{channel}: a selling fee of {_plain(fee_percent)} % cannot be; enter a fee of at least 0 and less than 100 %.",
            field="fee_percent",
        )
        self.channel = channel
        self.fee_percent = fee_percent


class NegativeSellingCost(Refused):
    """A fixed selling cost (postage, box) below zero."""

    def __init__(self, channel: str, fixed_cost: Decimal) -> None:
        super().__init__(
            f"{channel}: a fixed selling cost of {fixed_cost} cannot be; enter 0 or what one sale costs you.",
            field="fixed_cost",
        )
        self.channel = channel
        self.fixed_cost = fixed_cost


class MarginOutOfReach(Refused):
    """A margin that no price can leave once the channel has taken its fee."""

    def __init__(self, channel: str, margin_percent: Decimal, fee_percent: Decimal) -> None:
        super().__init__(
            f"{channel} takes {_plain(fee_percent)} % of the price, so a margin of {_plain(margin_percent)} % cannot be had; "
            f"enter a margin of at least 0 and less than {_plain(100 - fee_percent)} %.",
            field="margin_percent",
        )
        self.channel = channel
        self.margin_percent = margin_percent
        self.fee_percent = fee_percent


class TaxRateOutOfRange(Refused):
    """A tax rate below zero."""

    def __init__(self, rate_percent: Decimal) -> None:
        super().__init__(
            f"A tax rate of {_plain(rate_percent)} % cannot be; enter 0 or the rate that applies.", field="rate_percent"
        )
        self.rate_percent = rate_percent


class StepNotUsable(Refused):
    """A price step that is not a positive whole number of the currency's smallest coins."""

    def __init__(self, step: Decimal, smallest: Decimal) -> None:
        super().__init__(
            f"Prices cannot go up in steps of {step}; enter a step that is a whole multiple of {smallest}.",
            field="step",
        )
        self.step = step
        self.smallest = smallest


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
