"""Refusals of selling that somebody tells apart; see `inventory.errors`."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from costing.make.errors import coin, some
from inventory.errors import Refused, refusal


@refusal
class TaxNotCharged(Refused, field="rate"):
    """A line carries a tax rate although the seller is not registered: whoever writes tax on a paper owes it."""

    what: str
    rate: Decimal
    says = (
        "“{what}” carries {rate} % tax, but the workshop is not registered; take the rate off the line, or set the registration"
        " in Setup first."
    )


@refusal
class RateNeeded(Refused, field="rate"):
    """A registered seller's line without a rate."""

    what: str
    says = "“{what}” has no tax rate; enter the rate that applies, 0 with the reason if none is due."


@refusal
class MixedPrices(Refused, field="includes_tax"):
    """Prices with and without tax on one paper: its column could not be added up by a reader."""

    with_tax: str
    without_tax: str
    says = "“{with_tax}” is priced with tax and “{without_tax}” without; price all lines of one paper the same way."


@refusal
class DiscountTooLarge(Refused, field="discount"):
    """A discount below zero, or above the amount it is taken from."""

    what: str
    discount: Decimal
    amount: Decimal | Fraction
    says = "A discount of {discount} on “{what}” cannot be; enter 0 up to its amount of {amount}."


@refusal
class CreditTooLarge(Refused, field="amount"):
    """A credit of more than is left of its invoice. `left` is the gross amount that may still be credited."""

    invoice: str
    asked: Decimal
    left: Decimal
    part: str = ""

    def __str__(self) -> str:
        where = f" ({self.part})" if self.part else ""
        return (
            f"A credit of {coin(self.asked)} is more than the {coin(self.left)} that is left of {self.invoice}{where}; credit"
            " at most that, or credit the rest of the invoice."
        )


class PaperIncomplete(Refused):
    """A paper that may not be issued yet. `fields` names what is missing, `words` says it."""

    def __init__(self, kind: str, fields: Sequence[str], words: Sequence[str]) -> None:
        super().__init__(
            f"The {kind} cannot be issued yet; it still needs: {some(words)}.", field=fields[0] if fields else None
        )
        self.kind, self.fields, self.words = kind, tuple(fields), tuple(words)


@refusal
class NumberStrange(Refused, field="number"):
    """A number that is not one of its series."""

    number: str
    example: str
    says = (
        "“{number}” is not a number of this series, whose first is {example}; look for the paper under another series."
    )


@refusal
class NumberTwice(Refused, field="number"):
    """One number on two papers."""

    number: str
    says = "{number} is on two papers; find out which one was issued and credit the other before a new one."


@refusal
class NumberGap(Refused, field="number"):
    """Numbers of a series that no paper carries: the first few, and how many in all."""

    missing: tuple[str, ...]
    count: int
    last: str
    says = (
        "The series runs to {last}, but no paper carries {named}; restore what is missing before a new number is given."
    )

    @property
    def named(self) -> str:
        return some(self.missing, self.count)


@refusal
class NeverBreaksEven(Refused, field="takings"):
    """A fair whose goods and fees take all of each sale, so that no takings pay for the day."""

    share: Fraction
    says = "Goods and fees take {share:percent} of the takings, so no takings can pay the pitch; raise the prices."


class NothingTaken(Refused, field="takings"):
    """A share of the takings that cannot be told because nothing was taken."""

    def __init__(self) -> None:
        super().__init__(
            "Nothing was taken, so no share of the takings can be told; give the share you expect instead."
        )


class NoHistory(Refused, field="hours"):
    """A quote from own history before there is any."""

    def __init__(self) -> None:
        super().__init__(
            "No finished skin of this kind is in your log yet, so no hours can be taken from it; enter the hours you expect."
        )


class SeriesRefused(Refused):
    """A way of writing one series that cannot be; `kind` says which."""

    def __init__(self, kind: str, message: str, *, field: str = "prefix") -> None:
        super().__init__(message, field=field)
        self.kind = kind


@refusal
class FeeOutOfRange(Refused, field="fee_percent"):
    """A selling fee outside 0 up to (not including) 100 percent of the price."""

    channel: str
    fee_percent: Decimal
    says = "{channel}: a selling fee of {fee_percent:plain} % cannot be; enter a fee of at least 0 and less than 100 %."


@refusal
class NegativeSellingCost(Refused, field="fixed_cost"):
    """A fixed selling cost (postage, box) below zero."""

    channel: str
    fixed_cost: Decimal
    says = "{channel}: a fixed selling cost of {fixed_cost} cannot be; enter 0 or what one sale costs you."


@refusal
class MarginOutOfReach(Refused, field="margin_percent"):
    """A margin that no price can leave once the channel has taken its fee."""

    channel: str
    margin_percent: Decimal
    fee_percent: Decimal
    says = (
        "{channel} takes {fee_percent:plain} % of the price, so a margin of {margin_percent:plain} % cannot be had; enter a"
        " margin of at least 0 and less than {most:plain} %."
    )

    @property
    def most(self) -> Decimal:
        return 100 - self.fee_percent


@refusal
class TaxRateOutOfRange(Refused, field="rate_percent"):
    """A tax rate below zero."""

    rate_percent: Decimal
    says = "A tax rate of {rate_percent:plain} % cannot be; enter 0 or the rate that applies."


@refusal
class StepNotUsable(Refused, field="step"):
    """A price step that is not a positive whole number of the currency's smallest coins."""

    step: Decimal
    smallest: Decimal
    says = "Prices cannot go up in steps of {step}; enter a step that is a whole multiple of {smallest}."
