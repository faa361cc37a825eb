"""Bad debts: what a customer owes and will not pay, written off."""

from django.db import models
from django.db.models import Q

from costing.sell.sales.models import Sale
from inventory.base.models import Entry
from inventory.fields import MoneyField


class WriteOff(Entry):
    """`amount` of what is owed on a sale, tax and all, is given up as bad debt. The sale, its price and its tax stay."""

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="write_offs")
    on = models.DateField()
    amount = MoneyField()
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, amount__gt=0) | Q(reverses__isnull=False, amount__lt=0),
                name="write_off_positive_unless_reversed",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="write_off_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"write-off on {self.sale}"
