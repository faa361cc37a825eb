"""What the maker does not want to be told of for a while. Ended, a row stays: who set it aside and why can be asked later."""

from django.db import models
from django.db.models import F, Q

from inventory.base.models import Struck
from inventory.materials.models import Material


class Snooze(Struck):
    """Of `material` nothing is said from `on` until the day before `until`. Reversed: it was ended before."""

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="snoozes")
    on = models.DateField()
    until = models.DateField()
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(until__gt=F("on")), name="snooze_ends_after_it_begins"),
            models.CheckConstraint(condition=~Q(reason=""), name="snooze_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"until {self.until}"
