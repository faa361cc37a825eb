"""Costs that are not stock, and hours that no skin bears."""

from django.db import models
from django.db.models import Q

from costing.sell.fairs.models import Fair
from costing.sell.sales.models import Sale
from inventory.base.models import Entry
from inventory.fields import MoneyField, QuantityField


class Expense(Entry):
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


class SideHours(Entry):
    """Hours that no skin bears: stall, buying, photos, papers. They count when the year is asked what an hour earned."""

    class Kind(models.TextChoices):
        STALL = "stall", "Stall"
        PAPERS = "papers", "Papers, buying, photos"
        OTHER = "other", "Other"

    on = models.DateField()
    kind = models.CharField(max_length=6, choices=Kind.choices)
    minutes = QuantityField()
    words = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        verbose_name_plural = "side hours"
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, minutes__gt=0) | Q(reverses__isnull=False, minutes__lt=0),
                name="side_hours_positive_unless_taken_back",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.minutes}"
