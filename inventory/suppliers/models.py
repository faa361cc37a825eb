"""Whom the workshop buys from: chemicals, hardware, raw skins."""

from django.db import models
from django.db.models import Q

from inventory.fields import MoneyField


class Supplier(models.Model):
    """`carriage`: what an order from them usually costs to bring; `carriage_free_from`: goods worth so much they bring free."""

    name = models.CharField(max_length=80, unique=True)
    note = models.CharField(max_length=200, blank=True)
    carriage = MoneyField(null=True, blank=True)
    carriage_free_from = MoneyField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(carriage__lt=0) & ~Q(carriage_free_from__lte=0), name="supplier_carriage_not_negative"
            )
        ]

    def __str__(self) -> str:
        return self.name
