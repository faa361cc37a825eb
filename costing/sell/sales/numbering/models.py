"""The series of numbers that papers carry."""

from django.db import models
from django.db.models import Q


class Series(models.Model):
    """A run of paper numbers without a gap. `last` is the last number given; taken under a lock, inside the sale's transaction."""

    class Kind(models.TextChoices):
        SALE = "sale", "Sale over the counter"
        INVOICE = "invoice", "Invoice"
        CREDIT = "credit", "Credit note"
        RECEIPT = "receipt", "Receipt for money"

    kind = models.CharField(max_length=7, choices=Kind.choices, unique=True)
    prefix = models.CharField(max_length=8)
    digits = models.PositiveSmallIntegerField(default=3)
    last = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name_plural = "series"
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=["sale", "invoice", "credit", "receipt"]), name="series_known")
        ]

    def __str__(self) -> str:
        return self.prefix
