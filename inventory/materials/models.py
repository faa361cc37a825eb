"""A consumable on the shelf, with its exact substance and its running balance.

The balance is written by `services.ledger` only; the constraints below are the last guard."""

from django.db import models
from django.db.models import Q

from inventory.factors import BASES
from inventory.fields import MoneyField, QuantityField
from inventory.places.models import Place
from inventory.suppliers.models import Supplier


class Material(models.Model):
    """`unit` is how the maker speaks of it (kg, lb); `base` is what it is counted in (g, oz), of the same system. Quantities are in
    `base`.

    `weighed_in` is the cup or spoon of it that the maker weighed. `sheet` says whose safety data sheet the maker has read and
    where it lies, `sheet_on` its date. `min_order` is the least the supplier sends; `price_breaks` says what a pack costs from so
    many on (`inventory.materials.breaks`), for the packs that `breaks_on` names.
    """

    class BreaksOn(models.TextChoices):
        ALL = "all", "All packs of the order"
        FURTHER = "further", "The packs beyond the break"

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=80)
    substance = models.CharField(max_length=40, blank=True)
    unit = models.CharField(max_length=24)
    base = models.CharField(max_length=24)
    density_g_per_ml = QuantityField(null=True, blank=True)
    weighed_in = models.CharField(max_length=24, blank=True)
    pack_quantity = QuantityField(null=True, blank=True)
    min_order = QuantityField(null=True, blank=True)
    price_breaks = models.CharField(max_length=200, blank=True)
    breaks_on = models.CharField(max_length=7, choices=BreaksOn.choices, default=BreaksOn.ALL)
    lead_days = models.PositiveSmallIntegerField(default=0)
    safety_days = models.PositiveSmallIntegerField(default=0)
    shelf_life_days = models.PositiveSmallIntegerField(null=True, blank=True)
    hazard_note = models.CharField(max_length=200, blank=True)
    sheet = models.CharField(max_length=120, blank=True)
    sheet_on = models.DateField(null=True, blank=True)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="materials")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="materials")
    on_hand = QuantityField(default=0)
    value = MoneyField(default=0)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(on_hand__gte=0), name="material_never_below_nothing"),
            models.CheckConstraint(condition=Q(value__gte=0), name="material_value_never_negative"),
            models.CheckConstraint(condition=~Q(on_hand=0) | Q(value=0), name="material_empty_holds_no_value"),
            models.CheckConstraint(condition=Q(base__in=BASES), name="material_base_known"),
            models.CheckConstraint(condition=~Q(pack_quantity__lte=0), name="material_pack_positive"),
            models.CheckConstraint(condition=~Q(min_order__lte=0), name="material_min_order_positive"),
            models.CheckConstraint(condition=Q(breaks_on__in=("all", "further")), name="material_breaks_on_known"),
            models.CheckConstraint(condition=~Q(density_g_per_ml__lte=0), name="material_density_positive"),
            models.CheckConstraint(
                condition=Q(weighed_in="") | Q(density_g_per_ml__isnull=False), name="material_weighed_has_density"
            ),
            models.CheckConstraint(
                condition=Q(sheet_on__isnull=True) | ~Q(sheet=""), name="material_sheet_date_has_sheet"
            ),
        ]

    def __str__(self) -> str:
        return self.name
