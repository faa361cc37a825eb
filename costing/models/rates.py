"""What an hour, an overhead hour and a lacing cost, and how prices are rounded. One row."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from inventory.fields import MoneyField, QuantityField


class Rates(models.Model):
    """`vat_percent` 0 means not registered: prices carry no tax. `price_step` 0 means prices are not rounded up further."""

    wage_per_hour = MoneyField(default=0)
    overhead_per_hour = MoneyField(default=0)
    frame_wear = MoneyField(default=0)
    vat_percent = QuantityField(default=0)
    price_step = MoneyField(default=0)

    class Meta:
        verbose_name_plural = "rates"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="rates_are_one"),
            models.CheckConstraint(
                condition=Q(
                    wage_per_hour__gte=0,
                    overhead_per_hour__gte=0,
                    frame_wear__gte=0,
                    vat_percent__gte=0,
                    price_step__gte=0,
                ),
                name="rates_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return "Rates"
