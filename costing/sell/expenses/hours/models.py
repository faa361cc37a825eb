"""Hours that no skin bears."""

from django.db import models
from django.db.models import Q

from inventory.base.models import Entry
from inventory.fields import QuantityField


class SideHours(Entry):
    """Hours that no skin bears: stall, buying, photos, papers. They count when the year is asked what an hour earned."""

    class Kind(models.TextChoices):
        STALL = "stall", "Stall"
        PAPERS = "papers", "Papers, buying, photos"
        OTHER = "other", "Other"

    on = models.DateField()
    kind = models.CharField(max_length=6, choices=Kind.choices)
    minutes = QuantityField()
    words = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        verbose_name_plural = "side hours"
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, minutes__gt=0) | Q(reverses__isnull=False, minutes__lt=0),
                name="side_hours_positive_unless_taken_back",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.minutes}"
