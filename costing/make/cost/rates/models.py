"""What an hour, an overhead hour and a lacing cost, and how prices are rounded, each row from a day on."""

from datetime import date

from django.db import models
from django.db.models import Q

from inventory.fields import MoneyField, QuantityField

EVER = date.min


class Rates(models.Model):
    """They hold from `since` (`EVER`: for all days before the next ones) until the day of the next row.

    Of two rows of one day the one written later holds; the other stands for what was reckoned with it. `vat_percent` 0
    means not registered: prices carry no tax. `price_step` 0 means prices are not rounded up further.
    """

    since = models.DateField(default=EVER)
    wage_per_hour = MoneyField(default=0)
    overhead_per_hour = MoneyField(default=0)
    frame_wear = MoneyField(default=0)
    vat_percent = QuantityField(default=0)
    price_step = MoneyField(default=0)

    class Meta:
        verbose_name_plural = "rates"
        ordering = ["since", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    wage_per_hour__gte=0,
                    overhead_per_hour__gte=0,
                    frame_wear__gte=0,
                    vat_percent__gte=0,
                    price_step__gte=0,
                ),
                name="rates_not_negative",
            )
        ]

    def __str__(self) -> str:
        return f"Rates from {self.since}"
