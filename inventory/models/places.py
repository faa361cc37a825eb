"""Where things are: shelf, shed, tub, frame, gallery, van, fair."""

from __future__ import annotations

from django.db import models


class Place(models.Model):
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

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
