"""Refusals of making that somebody tells apart, and how figures stand in the sentences of any; see `inventory.errors`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory import formats
from inventory.errors import Refused
from inventory.money import half_up

NAMED = 5  # so many of a long list are named in a sentence


def some(words: Sequence[str], count: int | None = None, *, named: int = NAMED) -> str:
    """A long list shortened for a sentence: the first few and how many more. `count` where only some are at hand."""
    more = (len(words) if count is None else count) - named
    return ", ".join(words[:named]) + (f" and {more} more" if more > 0 else "")


def coin(value: Decimal) -> str:
    """Money for a sentence, whatever places it was kept at: two at least, and no zero beyond them."""
    digits = -int(value.normalize().as_tuple().exponent)
    return formats.figure(f"{value:.{max(2, digits)}f}")


def plain(value: Decimal) -> str:
    """Without needless zeros: 6.500 -> "6.5"."""
    return formats.plain(value)


def in_litres(value: Decimal) -> str:
    """A volume for a sentence."""
    return f"{plain(value)} L"


def number(value: Fraction) -> str:
    """An exact figure for a sentence: at most two places, without needless zeros."""
    return plain(half_up(value, 2))


def percent(part: Fraction) -> str:
    """A part in percent to two places, or 'a little over' where rounding would hide the reason of a refusal."""
    shown = number(part * 100)
    return "a little over 100 %" if part > 1 and shown == "100" else f"{shown} %"


class MissingMeasure(Refused):
    """A recipe line needs a measure nobody has entered yet; `field` names it as a slug."""


class StepNotReady(Refused, ValueError):  # noqa: N818 - named like the other refusals
    """A step of a batch is logged in a way that cannot have happened. `step` is its key, `why` the rule that broke."""

    def __init__(self, step: str, name: str, on: date, why: str, remedy: str) -> None:
        super().__init__(f"“{name}” cannot be logged on {on}: {why}. {remedy}", field="on")
        self.step, self.name, self.on, self.why = step, name, on, why


class NotAbove(Refused):
    """A figure that must be above zero (or not below it) is not."""

    def __init__(
        self,
        what: str,
        value: Decimal | Fraction | int,
        ask: str,
        *,
        field: str | None = None,
        zero_too: bool = False,
        row: int | None = None,
    ) -> None:
        bound = "cannot be below zero" if zero_too else "must be above zero"
        super().__init__(f"{what} {bound}, not {value}: {ask}.", field=field, row=row)


class VesselTooSmall(Refused):
    """A bath and the room its froth needs do not fit the vessel. `largest` is the bath that would."""

    def __init__(
        self,
        litres: Decimal,
        headroom: Decimal,
        vessel_litres: Decimal,
        largest: Decimal,
        said: Callable[[Decimal], str] = in_litres,
    ) -> None:
        room = f" with {said(headroom)} of room above it" if headroom else ""
        way = f"make at most {said(largest)}, or" if largest > 0 else "no bath of this kind does:"
        super().__init__(
            f"A bath of {said(litres)}{room} does not fit a vessel of {said(vessel_litres)}; {way} take a larger vessel.",
            field="litres",
        )
        self.litres, self.headroom, self.vessel_litres, self.largest = litres, headroom, vessel_litres, largest

    def told(self, said: Callable[[Decimal], str], within: Callable[[Decimal], Decimal]) -> VesselTooSmall:
        """The same in the workshop's own measure: how litres are `said`, and the largest whole figure of it `within` so many."""
        return VesselTooSmall(self.litres, self.headroom, self.vessel_litres, within(self.largest), said)
