"""A skin: one of a kind, tagged, the maker's own or a customer's. A customer's skin has no stock value."""

from decimal import Decimal

from django.db import models
from django.db.models import Q

from inventory.base.models import Bought, How, bought
from inventory.fields import MoneyField, QuantityField
from inventory.places.models import Place
from inventory.suppliers.models import Supplier


class Skin(Bought):
    """`price`: without the tax that is deducted. `dry_weight`: what the maker expects it to weigh when it is dry. Weights are kept
    in grams and areas in cm2, and spoken of in `weight_unit` and `area_unit`, in which they were told.

    `source`: how it was got. `origin`: the country or region where the animal was raised or taken, as labels name it.

    `opening`: it was there when the books began, at `price`, with `minutes_before` of the maker's own work in it.

    `loss_spread`: what a lost skin had cost is borne by those that were with it, instead of being written off.
    """

    class Owner(models.TextChoices):
        MINE = "mine", "Mine"
        CUSTOMER = "customer", "A customer's"

    class Stage(models.TextChoices):
        RAW = "raw", "Raw"
        IN_WORK = "in_work", "In work"
        FINISHED = "finished", "Finished"
        LOST = "lost", "Lost"

    tag = models.CharField(max_length=20, unique=True)
    species = models.CharField(max_length=60)
    sex_age = models.CharField(max_length=40, blank=True)
    owner = models.CharField(max_length=8, choices=Owner.choices, default=Owner.MINE)
    customer = models.CharField(max_length=80, blank=True)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="skins")
    source = models.CharField(max_length=200, blank=True)
    origin = models.CharField(max_length=60, blank=True)
    date_in = models.DateField()
    green_weight = QuantityField(null=True, blank=True)
    dry_weight = QuantityField(null=True, blank=True)
    weight_unit = models.CharField(max_length=24, default="kg")
    price = MoneyField(default=0)
    how = models.CharField(max_length=6, choices=How.choices, blank=True)
    opening = models.BooleanField(default=False)
    minutes_before = QuantityField(default=0)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="skins")
    defects = models.CharField(max_length=300, blank=True)
    wet_area = QuantityField(null=True, blank=True)
    dry_area = QuantityField(null=True, blank=True)
    area_unit = models.CharField(max_length=24, default="dm2")
    stage = models.CharField(max_length=8, choices=Stage.choices, default=Stage.RAW)
    lost_on = models.DateField(null=True, blank=True)
    lost_reason = models.CharField(max_length=200, blank=True)
    lost_at_step = models.CharField(max_length=40, blank=True)
    loss_spread = models.BooleanField(default=False)

    class Meta:
        ordering = ["tag"]
        constraints = [
            models.CheckConstraint(condition=Q(price__gte=0), name="skin_price_not_negative"),
            models.CheckConstraint(condition=Q(owner="mine") | Q(price=0), name="skin_of_customer_has_no_price"),
            models.CheckConstraint(condition=Q(owner__in=["mine", "customer"]), name="skin_owner_known"),
            models.CheckConstraint(condition=~Q(green_weight__lte=0), name="skin_weight_positive"),
            models.CheckConstraint(condition=~Q(dry_weight__lte=0), name="skin_dry_weight_positive"),
            models.CheckConstraint(condition=~Q(wet_area__lte=0) & ~Q(dry_area__lte=0), name="skin_area_positive"),
            models.CheckConstraint(
                condition=Q(stage="lost", lost_on__isnull=False) | (~Q(stage="lost") & Q(lost_on__isnull=True)),
                name="skin_lost_has_a_date",
            ),
            models.CheckConstraint(
                condition=Q(minutes_before=0) | Q(opening=True, minutes_before__gt=0),
                name="skin_minutes_before_are_of_an_opening",
            ),
            models.CheckConstraint(condition=Q(loss_spread=False) | Q(stage="lost"), name="skin_spreads_only_a_loss"),
            models.CheckConstraint(condition=Q(owner="mine") | Q(tax=0), name="skin_of_customer_has_no_tax"),
            *bought("skin"),
        ]

    def __str__(self) -> str:
        return self.tag

    @property
    def paid(self) -> Decimal:
        """What was paid for it, tax and all."""
        return self.price + self.tax

    @property
    def theirs(self) -> bool:
        """A customer's own: no stock value, and marked so wherever its tag is shown."""
        return self.owner == self.Owner.CUSTOMER
