"""What was paid on bills that were due later: deliveries and costs."""

from django.db import models
from django.db.models import Q

from costing.sell.expenses.models import Expense
from inventory.base.models import Entry, How
from inventory.fields import MoneyField
from inventory.models import Delivery


class BillPayment(Entry):
    """Money paid on one bill, in whole or in part. Below zero: it was reversed."""

    on = models.DateField()
    amount = MoneyField()
    how = models.CharField(max_length=5, choices=How.in_money(), default=How.BANK)
    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    expense = models.ForeignKey(Expense, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, amount__gt=0) | Q(reverses__isnull=False, amount__lt=0),
                name="bill_payment_positive_unless_reversed",
            ),
            models.CheckConstraint(
                condition=Q(delivery__isnull=False, expense__isnull=True)
                | Q(delivery__isnull=True, expense__isnull=False),
                name="bill_payment_for_one_bill",
            ),
            models.CheckConstraint(
                condition=Q(how__in=[how for how, _ in How.in_money()]), name="bill_payment_how_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.on} {self.amount}"
