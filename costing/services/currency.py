"""Whether this floor holds money, which keeps the workshop's currency as it is."""

from __future__ import annotations

from typing import Any

from costing.models import Expense, Job, LabourLine, Payment, Sale


def holds_money(**_: Any) -> bool:
    """Answers `inventory.services.workshop.money_sought`: a paper, a payment, a cost, a price agreed, paid help."""
    rows = (
        Sale.objects.all(),
        Payment.objects.all(),
        Expense.objects.all(),
        Job.objects.filter(price__gt=0),
        LabourLine.objects.filter(paid__gt=0),
    )
    return any(row.exists() for row in rows)
