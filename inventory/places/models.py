"""Where things are: shelf, shed, tub, frame, gallery, van, fair."""

from django.db import models
from django.db.models import Q

from inventory.fields import QuantityField


class Place(models.Model):
    """`litres` (mL) is what a tub holds to the brim; `holds` how many batches a tub, or skins a set of frames, takes at once."""

    class Kind(models.TextChoices):
        SHELF = "shelf", "Shelf"
        SHED = "shed", "Shed"
        TUB = "tub", "Tub"
        FRAME = "frame", "Frame"
        FREEZER = "freezer", "Freezer"
        GALLERY = "gallery", "Gallery"
        VAN = "van", "Van"
        FAIR = "fair", "Fair"
        OTHER = "other", "Elsewhere"

    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.SHELF)
    litres = QuantityField(null=True, blank=True)
    holds = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=~Q(litres__lte=0), name="place_litres_positive"),
            models.CheckConstraint(condition=Q(holds__gte=1), name="place_holds_something"),
        ]

    def __str__(self) -> str:
        return self.name
