"""Refusals of selling, papers and results; see `costing.errors` for those of making and `inventory.errors` for the base."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from costing.make.errors import _coin, _percent, _plain, _some
from inventory.errors import Refused


class TaxNotCharged(Refused):
    """A line carries a tax rate although the seller is not registered: whoever writes tax on a paper owes it."""

    def __init__(self, what: str, rate: Decimal) -> None:
        super().__init__(
            f"“{what}” carries {rate} % tax, but the workshop is not registered; take the rate off the line, or set the"
            " registration in Setup first.",
            field="rate",
        )
        self.what = what
        self.rate = rate


class RateNeeded(Refused):
    """A registered seller's line without a rate."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"“{what}” has no tax rate; enter the rate that applies, 0 with the reason if none is due.", field="rate"
        )
        self.what = what


class MixedPrices(Refused):
    """Prices with and without tax on one paper: its column could not be added up by a reader."""

    def __init__(self, with_tax: str, without_tax: str) -> None:
        super().__init__(
            f"“{with_tax}” is priced with tax and “{without_tax}” without; price all lines of one paper the same way.",
            field="includes_tax",
        )
        self.with_tax = with_tax
        self.without_tax = without_tax


class DiscountTooLarge(Refused):
    """A discount below nought, or above the amount it is taken from."""

    def __init__(self, what: str, discount: Decimal, amount: Decimal | Fraction) -> None:
        super().__init__(
            f"A discount of {discount} on “{what}” cannot be; enter 0 up to its amount of {amount}.", field="discount"
        )
        self.what = what
        self.discount = discount
        self.amount = amount


class CreditTooLarge(Refused):
    """A credit of more than is left of its invoice. `left` is the gross amount that may still be credited."""

    def __init__(self, invoice: str, asked: Decimal, left: Decimal, part: str = "") -> None:
        where = f" ({part})" if part else ""
        super().__init__(
            f"A credit of {_coin(asked)} is more than the {_coin(left)} that is left of {invoice}{where}; credit at most that, or"
            " credit the rest of the invoice.",
            field="amount",
        )
        self.invoice = invoice
        self.asked = asked
        self.left = left
        self.part = part


class PaperIncomplete(Refused):
    """A paper that may not be issued yet. `fields` names what is missing, `words` says it."""

    def __init__(self, kind: str, fields: Sequence[str], words: Sequence[str]) -> None:
        super().__init__(
            f"The {kind} cannot be issued yet; it still needs: {_some(words)}.", field=fields[0] if fields else None
        )
        self.kind = kind
        self.fields = tuple(fields)
        self.words = tuple(words)


class NumberStrange(Refused):
    """A number that is not one of its series."""

    def __init__(self, number: str, example: str) -> None:
        super().__init__(
            f"“{number}” is no number of this series, whose first is {example}; look for the paper under another series.",
            field="number",
        )
        self.number = number


class NumberTwice(Refused):
    """One number on two papers."""

    def __init__(self, number: str) -> None:
        super().__init__(
            f"{number} stands on two papers; find out which one was issued and credit the other before a new one.",
            field="number",
        )
        self.number = number


class NumberGap(Refused):
    """Numbers of a series that no paper carries: the first few, and how many in all."""

    def __init__(self, missing: Sequence[str], count: int, last: str) -> None:
        super().__init__(
            f"The series runs to {last}, but no paper carries {_some(missing, count)}; restore what is missing before a"
            " new number is given.",
            field="number",
        )
        self.missing = tuple(missing)
        self.count = count
        self.last = last


class NeverBreaksEven(Refused):
    """A fair whose goods and fees take all of each sale, so that no takings pay for the day."""

    def __init__(self, share: Fraction) -> None:
        super().__init__(
            f"Goods and fees take {_percent(share)} of the takings, so no takings can pay the pitch; raise the prices.",
            field="takings",
        )
        self.share = share


class NothingTaken(Refused):
    """A share of the takings that cannot be told because nothing was taken."""

    def __init__(self) -> None:
        super().__init__(
            "Nothing was taken, so no share of the takings can be told; give the share you expect instead.",
            field="takings",
        )


class NoHistory(Refused):
    """A quote from own history before there is any."""

    def __init__(self) -> None:
        super().__init__(
            "No finished skin of this kind is in your log yet, so no hours can be taken from it; enter the hours you expect.",
            field="hours",
        )


class SeriesRefused(Refused):
    """A way of writing one series that cannot be; `kind` says which."""

    def __init__(self, kind: str, message: str, *, field: str = "prefix") -> None:
        super().__init__(message, field=field)
        self.kind = kind


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
