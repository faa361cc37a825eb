"""Goods in: what a supplier brought, in packs, with carriage shared over the lines by value."""

from decimal import Decimal

from django.db import models
from django.db.models import Q

from inventory.base.models import Bought, How, bought, tax_has_a_rate
from inventory.fields import MoneyField, QuantityField
from inventory.ledger.models import Movement, Posting
from inventory.orders.models import Order
from inventory.suppliers.models import Supplier


class Delivery(Bought):
    """`carriage`, like the price of a pack, is as it was typed: `with_tax` says whether the tax was in it. Rate and tax are those
    of the carriage. `bill`: the supplier's paper, by its name in the store. `how` it was paid as it came, where that was said;
    `due_on`: it was not, and is paid by entries of their own. `order`: what it was ordered by, where that was written down."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="deliveries")
    order = models.ForeignKey(Order, on_delete=models.PROTECT, null=True, blank=True, related_name="deliveries")
    posting = models.OneToOneField(Posting, on_delete=models.PROTECT, related_name="delivery")
    on = models.DateField()
    ref = models.CharField(max_length=40, blank=True)
    carriage = MoneyField(default=0)
    how = models.CharField(max_length=6, choices=How.choices, blank=True)
    due_on = models.DateField(null=True, blank=True)
    with_tax = models.BooleanField(default=False)
    bill = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(carriage__gte=0), name="delivery_carriage_not_negative"),
            models.CheckConstraint(condition=Q(how="") | Q(due_on__isnull=True), name="delivery_paid_or_due"),
            *bought("delivery"),
        ]

    def __str__(self) -> str:
        return self.ref or f"Delivery {self.on}"

    @property
    def freight(self) -> Decimal:
        """The carriage without its deductible tax: what the lines share."""
        return self.carriage - self.tax if self.with_tax else self.carriage


class DeliveryLine(models.Model):
    """`pack_quantity` is in the material's base unit; landed value = packs x price, without
    the `tax` that is deducted, + carriage share."""

    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="lines")
    movement = models.OneToOneField(Movement, on_delete=models.PROTECT, related_name="delivery_line")
    packs = QuantityField()
    pack_quantity = QuantityField()
    pack_price = MoneyField()
    carriage_share = MoneyField(default=0)
    tax_percent = QuantityField(null=True, blank=True)
    tax = MoneyField(default=0)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(packs__gt=0, pack_quantity__gt=0, pack_price__gte=0, carriage_share__gte=0),
                name="delivery_line_positive",
            ),
            models.CheckConstraint(condition=tax_has_a_rate() & Q(tax__gte=0), name="delivery_line_tax_has_a_rate"),
        ]

    def __str__(self) -> str:
        return f"{self.packs} packs"

    @property
    def goods(self) -> Decimal:
        """What was paid for it, without its share of the carriage."""
        return self.movement.value - self.carriage_share
