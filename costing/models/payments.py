"""Money in and out that is not stock: what customers paid, what selling and the year cost, hours that made nothing."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from costing.models.customers import Customer
from costing.models.fairs import Fair
from costing.models.jobs import Job
from costing.models.sales import Sale
from inventory.fields import MoneyField, QuantityField


class Payment(models.Model):
    """Money received for a sale or, before delivery, for a job (a deposit, owed until then). A refund is negative.

    Its receipt is an issued paper: `seller` and `buyer` are as they were when it was written, and so are of a deposit the
    `work` and the price `agreed` on.
    """

    class How(models.TextChoices):
        CASH = "cash", "Cash"
        CARD = "card", "Card"
        BANK = "bank", "Bank"
        OTHER = "other", "Otherwise"

    number = models.CharField(max_length=20, unique=True)
    sequence = models.PositiveIntegerField(unique=True)
    on = models.DateField()
    amount = MoneyField()
    how = models.CharField(max_length=5, choices=How.choices, default=How.CASH)
    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, null=True, blank=True, related_name="payments")
    seller = models.JSONField(default=dict)
    buyer = models.JSONField(default=dict)
    work = models.CharField(max_length=200, blank=True)
    agreed = MoneyField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    written_at = models.DateTimeField(auto_now_add=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="payments"
    )
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(amount=0), name="payment_of_something"),
            models.CheckConstraint(
                condition=Q(sale__isnull=False, job__isnull=True) | Q(sale__isnull=True, job__isnull=False),
                name="payment_for_one_thing",
            ),
            models.CheckConstraint(condition=Q(how__in=["cash", "card", "bank", "other"]), name="payment_how_known"),
        ]

    def __str__(self) -> str:
        return self.number


class Expense(models.Model):
    """What selling cost (fee, postage, pitch, fuel) or the year cost (overhead). `withheld`: kept back by who paid us."""

    class Kind(models.TextChoices):
        FEE = "fee", "Selling fee"
        POSTAGE = "postage", "Postage"
        PITCH = "pitch", "Pitch"
        FUEL = "fuel", "Fuel"
        OVERHEAD = "overhead", "Overhead"
        OTHER = "other", "Other selling cost"

    on = models.DateField()
    kind = models.CharField(max_length=8, choices=Kind.choices)
    amount = MoneyField()
    words = models.CharField(max_length=200, blank=True)
    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, null=True, blank=True, related_name="expenses")
    fair = models.ForeignKey(Fair, on_delete=models.PROTECT, null=True, blank=True, related_name="expenses")
    withheld = models.BooleanField(default=False)
    written_at = models.DateTimeField(auto_now_add=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="expenses"
    )
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, amount__gt=0) | Q(reverses__isnull=False, amount__lt=0),
                name="expense_positive_unless_taken_back",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["fee", "postage", "pitch", "fuel", "overhead", "other"]),
                name="expense_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(withheld=False) | Q(sale__isnull=False), name="expense_withheld_from_a_sale"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount}"


class SideHours(models.Model):
    """Hours that no skin bears: stall, buying, photos, papers. They count when the year is asked what an hour earned."""

    class Kind(models.TextChoices):
        STALL = "stall", "Stall"
        PAPERS = "papers", "Papers, buying, photos"
        OTHER = "other", "Other"

    on = models.DateField()
    kind = models.CharField(max_length=6, choices=Kind.choices)
    minutes = QuantityField()
    words = models.CharField(max_length=80, blank=True)
    written_at = models.DateTimeField(auto_now_add=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="side_hours"
    )
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-on", "-pk"]
        verbose_name_plural = "side hours"
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, minutes__gt=0) | Q(reverses__isnull=False, minutes__lt=0),
                name="side_hours_positive_unless_taken_back",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.minutes}"
