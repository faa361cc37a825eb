"""Refusals of the ground floor: what happened, the values, and what to do next.

Every refusal that a person can cause is a `Refused`; views and commands print its text as it stands.
"""

from __future__ import annotations

from decimal import Decimal


class Refused(Exception):  # noqa: N818 - a refusal is an answer to the maker, not a fault in the program
    """Something was asked that must not be done. `field` names the entry at fault where there is one."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field

    def __str__(self) -> str:
        return self.message


class SentBefore(Refused):
    """A form's key was used already, and not for this. A new key writes it."""


class UnknownCurrency(Refused):
    """A currency code that is not a circulating ISO 4217 currency."""

    def __init__(self, code: str) -> None:
        super().__init__(
            f"“{code}” is not a currency in circulation; give its three-letter ISO 4217 code in capitals, such as EUR,"
            " GBP or USD.",
            field="currency",
        )
        self.code = code


class UnitRefused(Refused):
    """A measure that cannot be read or converted safely."""


class UnknownUnit(UnitRefused):
    def __init__(self, word: str, near: tuple[str, ...]) -> None:
        hint = (
            f"did you mean {' or '.join(near)}?"
            if near
            else "use one of the units in the list, such as kg, L or piece."
        )
        super().__init__(f"“{word}” is not a unit known here; {hint}", field="unit")
        self.word = word
        self.near = near


class AmbiguousUnit(UnitRefused):
    def __init__(self, word: str, choices: tuple[str, ...]) -> None:
        super().__init__(f"“{word}” is not one size everywhere; say which: {', '.join(choices)}.", field="unit")
        self.word = word
        self.choices = choices


class UnitMismatch(UnitRefused):
    """Two kinds of measure that no density can join."""

    def __init__(self, unit: str, unit_kind: str, base: str, base_kind: str, name: str) -> None:
        super().__init__(
            f"{unit} measures {unit_kind}, but {name or 'this'} is kept by {base_kind} ({base});"
            f" give the amount as {base_kind}.",
            field="unit",
        )
        self.unit, self.unit_kind, self.base, self.base_kind, self.name = unit, unit_kind, base, base_kind, name


class DensityNeeded(UnitRefused):
    """A volume of something kept by mass (or the reverse) whose level cup was never weighed."""

    def __init__(self, unit: str, base: str, name: str) -> None:
        super().__init__(
            f"{name or 'This material'} is kept in {base}, and {unit} becomes {base} only through its own density,"
            " which is not known: fill one cup level, weigh what is in it, and enter the grams and the cup; or give"
            f" the amount in {base}.",
            field="unit",
        )
        self.unit, self.base, self.name = unit, base, name


class UnreadableMeasure(UnitRefused):
    def __init__(self, text: str) -> None:
        super().__init__(
            f"“{text}” cannot be read as an amount and a unit; write it like 0.72 kg, 1,5 L or 2 1/2 us_cup,"
            " with nothing between the thousands.",
            field="amount",
        )
        self.text = text


class SubstanceRefused(Refused):
    """A chemical that is not named exactly enough, or is not of the kind the question needs."""


class UnknownSubstance(SubstanceRefused):
    def __init__(self, word: str, near: tuple[str, ...]) -> None:
        hint = f"did you mean {' or '.join(near)}?" if near else "choose one from the list, or leave it empty."
        super().__init__(f"“{word}” is not a substance known here; {hint}", field="substance")
        self.word = word
        self.near = near


class AmbiguousSubstance(SubstanceRefused):
    def __init__(self, word: str, choices: tuple[str, ...]) -> None:
        super().__init__(
            f"“{word}” is sold as different things of different strength; read the sack or its data sheet and say"
            f" which: {', '.join(choices)}.",
            field="substance",
        )
        self.word = word
        self.choices = choices


class WrongSubstance(SubstanceRefused):
    def __init__(self, slug: str, wanted: str) -> None:
        super().__init__(f"{slug} carries no {wanted}; choose a substance that does.", field="substance")
        self.slug = slug
        self.wanted = wanted


class NotAllowed(Refused):
    """The person's role does not cover this kind of entry."""

    def __init__(self, act: str) -> None:
        super().__init__(f"Your role may not {act}. Ask the owner to do it or to change your role in Setup.")
        self.act = act


class ShortStock(Refused):
    """More was wanted than the shelf holds. `lines` are (material name, wanted, available) as shown to the maker."""

    def __init__(self, lines: list[tuple[str, str, str]], on: str, *, also: str = "") -> None:
        said = "; ".join(f"{wanted} of {name} wanted, {there} on the shelf" for name, wanted, there in lines)
        ways = "record the delivery, count the shelf, or use less"
        super().__init__(f"Not enough on {on}: {said}. Ways out: {ways}{also}.", field="quantity")
        self.lines = lines


class ClosedPeriod(Refused):
    """Nothing is posted on or before the day to which the books are closed."""

    def __init__(self, on: str, closed_to: str) -> None:
        super().__init__(
            f"The books are closed to {closed_to}, so nothing can be written on {on}. Use a later date, or reopen them in Setup.",
            field="on",
        )


class Taken(Refused):
    """A tag, code or number that must be unique is used already."""

    def __init__(self, what: str, value: str, *, field: str) -> None:
        super().__init__(f"{what} {value} is used already. Choose another, or open the one that is there.", field=field)
        self.value = value


class NoSolubility(SubstanceRefused):
    """No published table of what water holds is kept for a substance."""

    def __init__(self, name: str) -> None:
        super().__init__(f"How much {name} water holds is not known here; see its data sheet.", field="substance")
        self.name = name


class OutsideTable(SubstanceRefused):
    """A temperature at which the published table of a substance gives nothing."""

    def __init__(self, name: str, celsius: Decimal, coldest: int, warmest: int) -> None:
        super().__init__(
            f"What water holds of {name} is known from {coldest} to {warmest} °C, not at {celsius} °C;"
            " give a temperature between, or see its data sheet.",
            field="celsius",
        )
        self.name, self.celsius, self.coldest, self.warmest = name, celsius, coldest, warmest
