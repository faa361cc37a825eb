"""Money that customers paid and were paid back."""

from django.db import models
from django.db.models import Q

from costing.sell.customers.models import Customer
from costing.sell.jobs.models import Job
from costing.sell.sales.models import Sale
from inventory.base.models import Entry, How
from inventory.fields import MoneyField, QuantityField


class Payment(Entry):
    """Money received for a sale or, before delivery, for a job (a deposit, owed until then). A refund is negative.

    Its receipt is an issued paper: `seller` and `buyer` are as they were when it was written, and so are of a deposit the
    `work` and the price `agreed` on, its tax with it. `tax_percent`: of a deposit, the rate of the tax that fell due when it came;
    empty: it falls due with the paper that bills the work. `opening`: a deposit that the old books had taken in; no money of these
    came with it.
    """

    How = How

    number = models.CharField(max_length=20, unique=True)
    sequence = models.PositiveIntegerField(unique=True)
    on = models.DateField()
    amount = MoneyField()
    how = models.CharField(max_length=6, choices=How.choices, default=How.CASH)
    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    seller = models.JSONField(default=dict)
    buyer = models.JSONField(default=dict)
    work = models.CharField(max_length=200, blank=True)
    agreed = MoneyField(null=True, blank=True)
    tax_percent = QuantityField(null=True, blank=True)
    opening = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(amount=0), name="payment_of_something"),
            models.CheckConstraint(
                condition=Q(sale__isnull=False, job__isnull=True) | Q(sale__isnull=True, job__isnull=False),
                name="payment_for_one_thing",
            ),
            models.CheckConstraint(condition=Q(how__in=How.values), name="payment_how_known"),
            models.CheckConstraint(
                condition=Q(tax_percent__isnull=True) | Q(tax_percent__gte=0, job__isnull=False),
                name="payment_tax_of_a_deposit",
            ),
            models.CheckConstraint(
                condition=Q(opening=False) | Q(job__isnull=False), name="payment_opening_is_a_deposit"
            ),
        ]

    def __str__(self) -> str:
        return self.number
