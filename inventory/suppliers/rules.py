"""What a supplier takes for bringing an order."""

from decimal import Decimal

from inventory.money import ZERO


def carriage(goods: Decimal, usual: Decimal | None, free_from: Decimal | None) -> Decimal | None:
    """What goods of that worth cost to bring: the usual carriage, nothing from the free limit on; None where nobody knows it.

    >>> carriage(Decimal(40), Decimal("9.90"), Decimal(50)), carriage(Decimal(50), Decimal("9.90"), Decimal(50))
    (Decimal('9.90'), Decimal('0'))
    """
    return ZERO if free_from is not None and goods >= free_from else usual
