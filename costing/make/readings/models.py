"""Readings and notes of a batch or a skin: pH, temperature, weight, words, a photo. Reversed on the row, which stays."""

from django.db import models
from django.db.models import Q

from costing.make.batches.models import Batch
from inventory.base.models import Struck
from inventory.fields import QuantityField
from inventory.models import Skin


class Reading(Struck):
    """`celsius` in °C, `weight` in g; `photo` is the name of a file in the photo store, named by its own content."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True, blank=True, related_name="readings")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, null=True, blank=True, related_name="readings")
    at = models.DateTimeField()
    ph = QuantityField(null=True, blank=True)
    celsius = QuantityField(null=True, blank=True)
    weight = QuantityField(null=True, blank=True)
    note = models.CharField(max_length=500, blank=True)
    photo = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(batch__isnull=False) | Q(skin__isnull=False), name="reading_of_a_batch_or_skin"
            ),
            models.CheckConstraint(
                condition=Q(ph__isnull=False)
                | Q(celsius__isnull=False)
                | Q(weight__isnull=False)
                | ~Q(note="")
                | ~Q(photo=""),
                name="reading_says_something",
            ),
            models.CheckConstraint(condition=~Q(ph__lt=0) & ~Q(ph__gt=14), name="reading_ph_in_range"),
            models.CheckConstraint(condition=~Q(weight__lte=0), name="reading_weight_positive"),
        ]

    def __str__(self) -> str:
        return f"reading {self.at:%Y-%m-%d %H:%M}"
