"""Refusals of selling that somebody tells apart; any other is raised as `Refused` beside the rule that it is about."""

from decimal import Decimal

from costing.make.errors import coin
from inventory.errors import Refused


class CreditTooLarge(Refused):
    """A credit of more than its invoice has left. `remaining` is what may still be credited, of the `part` if one is named."""

    def __init__(self, invoice: str, amount: Decimal, remaining: Decimal, part: str = "") -> None:
        of = f"{invoice} ({part})" if part else invoice
        super().__init__(
            f"A credit of {coin(amount)} is more than the {coin(remaining)} that is left of {of}; credit at most that, or "
            "credit the rest of the invoice.",
            field="amount",
        )
        self.amount, self.remaining, self.part = amount, remaining, part


class NumberRefused(Refused):
    """A series that is not whole: a number that is not its own, one on two papers, or numbers that no paper carries."""


class NeverBreaksEven(Refused):
    """A fair whose goods and fees take all of each sale, so that no takings pay for the day."""


class NothingTaken(Refused):
    """A share of the takings that cannot be told because nothing was taken."""


class SeriesRefused(Refused):
    """A way of writing one series that cannot be; `kind` says which."""

    def __init__(self, kind: str, message: str, *, field: str = "prefix") -> None:
        super().__init__(message, field=field)
        self.kind = kind


class StepNotUsable(Refused):
    """A price step that is not a positive whole number of the currency's smallest coins."""
