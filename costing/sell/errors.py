"""Refusals of selling that somebody tells apart; any other is raised as `Refused` beside the rule that it is about."""

from decimal import Decimal

from costing.make.errors import coin
from inventory.errors import Refused, refusal


@refusal
class CreditTooLarge(Refused, field="amount"):
    """A credit of more than its invoice has left. `remaining` is what may still be credited, of the `part` if one is named."""

    invoice: str
    amount: Decimal
    remaining: Decimal
    part: str = ""

    def __str__(self) -> str:
        of = f"{self.invoice} ({self.part})" if self.part else self.invoice
        return (
            f"A credit of {coin(self.amount)} is more than the {coin(self.remaining)} that is left of {of}; credit at most"
            " that, or credit the rest of the invoice."
        )


class NumberRefused(Refused):
    """A series that is not whole: a number that is not its own, one on two papers, or numbers that no paper carries."""


class NeverBreaksEven(Refused):
    """A fair whose goods and fees take all of each sale, so that no takings pay for the day."""


class NothingTaken(Refused):
    """A share of the takings that cannot be told because nothing was taken."""


class StepNotUsable(Refused):
    """A price step that is not a positive whole number of the currency's smallest coins."""
