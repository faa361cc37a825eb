"""Where a piece is sold and what that takes: a selling fee, in percent and fixed, and what the maker spends on each sale."""

from django.db import models
from django.db.models import Q

from inventory.fields import MoneyField, QuantityField
from inventory.models import Place


class Channel(models.Model):
    """`place`: a gallery that holds pieces on sale or return; through it only what is there is sold.

    `fee_percent` and `fee_fixed` are the channel's own and booked with a sale; `fixed_cost` is the maker's estimate of postage
    and box. `resells`: the channel sells to the public itself, so its percent is of the price without tax; `relief` is then
    the reason, if there is one, why its own purchase bears no tax.
    """

    name = models.CharField(max_length=60, unique=True)
    fee_percent = QuantityField(default=0)
    fee_fixed = MoneyField(default=0)
    fixed_cost = MoneyField(default=0)
    resells = models.BooleanField(default=False)
    relief = models.CharField(max_length=120, blank=True)
    usual = models.BooleanField(default=False)
    place = models.OneToOneField(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="channel")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(fee_percent__gte=0, fee_percent__lt=100), name="channel_fee_below_hundred"
            ),
            models.CheckConstraint(condition=Q(fixed_cost__gte=0), name="channel_fixed_cost_not_negative"),
            models.CheckConstraint(condition=Q(fee_fixed__gte=0), name="channel_fixed_fee_not_negative"),
            models.CheckConstraint(condition=Q(relief="") | Q(resells=True), name="channel_relief_is_a_resellers"),
            models.UniqueConstraint(fields=["usual"], condition=Q(usual=True), name="channel_one_usual"),
        ]

    def __str__(self) -> str:
        return self.name
