"""Purchase orders: what was asked of a supplier and has not come. A promise, not stock: nothing of it is in the books."""

from django.db import models
from django.db.models import Q

from inventory.base.models import Written
from inventory.fields import MoneyField, QuantityField
from inventory.materials.models import Material
from inventory.suppliers.models import Supplier


class Order(Written):
    """`due_on` is the day the supplier stated, `ref` its own number of the order. `closed_on` and `closed_why`: the rest will not
    come."""

    number = models.CharField(max_length=20, unique=True)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    on = models.DateField()
    due_on = models.DateField(null=True, blank=True)
    ref = models.CharField(max_length=40, blank=True)
    note = models.CharField(max_length=200, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    closed_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(due_on__isnull=True) | Q(due_on__gte=models.F("on")), name="order_due_after_ordered"
            ),
            models.CheckConstraint(
                condition=Q(closed_on__isnull=True, closed_why="") | (Q(closed_on__isnull=False) & ~Q(closed_why="")),
                name="order_closed_has_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(closed_on__isnull=True) | Q(closed_on__gte=models.F("on")),
                name="order_closed_after_ordered",
            ),
        ]

    def __str__(self) -> str:
        return self.number


class OrderLine(models.Model):
    """`packs` of `pack_quantity` (base unit) are `quantity` (base unit). `pack_price` is expected, as far as it is known."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="lines")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="order_lines")
    packs = QuantityField()
    pack_quantity = QuantityField()
    quantity = QuantityField()
    pack_price = MoneyField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(packs__gt=0, pack_quantity__gt=0, quantity__gt=0) & ~Q(pack_price__lt=0),
                name="order_line_positive",
            )
        ]

    def __str__(self) -> str:
        return f"{self.packs} packs"
