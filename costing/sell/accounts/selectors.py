"""The opening balances and the transfers."""

from typing import Any

from django.db.models import QuerySet

from costing.sell.accounts.models import OpeningBalance, Transfer


def openings() -> dict[str, OpeningBalance]:
    return {row.account: row for row in OpeningBalance.objects.all()}


def transfers() -> QuerySet[Transfer]:
    return Transfer.objects.select_related("reversed_by")


def holds_money(**_: Any) -> bool:
    """Answers `inventory.base.signals.money_sought`."""
    return OpeningBalance.objects.exists() or Transfer.objects.exists()
