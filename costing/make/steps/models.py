"""What was logged of a batch's steps: done, skipped, repeated. Never edited; reversed on its own row, which stays."""

from django.db import models
from django.db.models import Q

from costing.make.batches.models import Batch
from costing.make.labour.models import LabourLine
from costing.make.recipes.models import RecipeStep
from inventory.base.models import Struck


class StepMark(Struck):
    """`labour` is the line of minutes that was written with it, if any; both are reversed together."""

    class Kind(models.TextChoices):
        DONE = "done", "Done"
        SKIPPED = "skipped", "Skipped"
        REPEAT = "repeat", "Repeated"

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="marks")
    step = models.ForeignKey(RecipeStep, on_delete=models.PROTECT, related_name="marks")
    on = models.DateField()
    kind = models.CharField(max_length=7, choices=Kind.choices)
    note = models.CharField(max_length=200, blank=True)
    labour = models.OneToOneField(LabourLine, on_delete=models.PROTECT, null=True, blank=True, related_name="mark")

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=["done", "skipped", "repeat"]), name="step_mark_kind_known"),
            models.UniqueConstraint(
                fields=["batch", "step"],
                condition=Q(kind__in=["done", "skipped"], reversed_at__isnull=True),
                name="step_ends_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.step} {self.kind} {self.on}"
