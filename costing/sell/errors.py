"""Refusals of selling that somebody tells apart; any other is raised as `Refused` beside the rule that it is about."""

from decimal import Decimal

from inventory.errors import Refused, refusal


@refusal
class CreditTooLarge(Refused, field="amount"):
    """A credit of more than is left of its invoice, or of the part of it that `of` names too."""

    of: str
    amount: Decimal
    remaining: Decimal
    says = (
        "A credit of {amount:coin} is more than the {remaining:coin} that is left of {of}; credit at most that, or credit"
        " the rest of the invoice."
    )


class NumberRefused(Refused):
    """A series that is not whole: a number that is not its own, one on two papers, or numbers that no paper carries."""
