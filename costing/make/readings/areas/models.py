"""Areas that were told by a photo: of a skin in its frame, wet or dry. Reversed on the row, which stays."""

from django.db import models
from django.db.models import Q

from inventory.base.models import Struck
from inventory.fields import QuantityField
from inventory.models import Skin


class PhotoArea(Struck):
    """Areas in cm2, lengths in mm. `area` is without holes, `usable` without the other defects too; `plus_minus` is what 95 of 100
    such measurements are within. `was`: the area that was written before, which stands again when this is reversed.

    `frame_width` and `frame_height` are the inside of the frame, or `apart` the distance of two marks. `taps`: pixels of the kept
    photo: `size`, `corners` (two or four), `outline`, `defects` (each `kind` and `ring`; a hole is one), `lens` (bend and sigma).
    """

    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="photo_areas")
    wet = models.BooleanField(default=False)
    on = models.DateField()
    area = QuantityField()
    plus_minus = QuantityField()
    usable = QuantityField()
    perimeter = QuantityField()
    length = QuantityField()
    width = QuantityField()
    frame_width = QuantityField(null=True, blank=True)
    frame_height = QuantityField(null=True, blank=True)
    apart = QuantityField(null=True, blank=True)
    photo = models.CharField(max_length=80)
    taps = models.JSONField()
    was = QuantityField(null=True, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(area__gt=0, plus_minus__gte=0, usable__gte=0, usable__lte=models.F("area")),
                name="photo_area_is_one",
            ),
            models.CheckConstraint(
                condition=Q(frame_width__gt=0, frame_height__gt=0, apart__isnull=True)
                | Q(frame_width__isnull=True, frame_height__isnull=True, apart__gt=0),
                name="photo_area_has_a_scale",
            ),
            models.CheckConstraint(condition=~Q(photo=""), name="photo_area_has_its_photo"),
        ]

    def __str__(self) -> str:
        return f"area of {self.on}"
