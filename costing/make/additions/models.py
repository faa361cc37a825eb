"""Additions that a batch goes without. Never edited; reversed on its own row, which stays."""

from django.db import models
from django.db.models import Q

from costing.make.batches.models import Batch
from costing.make.recipes.models import RecipeLine
from inventory.base.models import Struck


class SkippedAddition(Struck):
    """A line of the recipe that was left out of a batch, and why: it is due no more."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="skipped")
    line = models.ForeignKey(RecipeLine, on_delete=models.PROTECT, related_name="skipped")
    on = models.DateField()
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["batch", "line"], condition=Q(reversed_at__isnull=True), name="addition_skipped_once"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="addition_skipped_with_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.line} {self.on}"
