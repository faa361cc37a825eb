"""Labour: minutes, at what, by whom, on which batch or skins. Append-only; a mistake is reversed by a linked line."""

from django.db import models
from django.db.models import Q

from costing.make.batches.models import Batch
from costing.make.recipes.models import TaskKind
from inventory.base.models import Entry, How
from inventory.fields import MoneyField, QuantityField
from inventory.models import Skin


class LabourLine(Entry):
    """`who` empty is the owner. `paid` is money really paid to a helper and makes the line book cost. `laced` uses a frame.
    `how` it was paid; empty: not said.

    `task` is in the maker's own words, `kind` is what it counts as.
    """

    on = models.DateField()
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True, blank=True, related_name="labour")
    skins = models.ManyToManyField(Skin, blank=True, related_name="labour")
    task = models.CharField(max_length=80)
    kind = models.CharField(max_length=6, choices=TaskKind.choices, default=TaskKind.OTHER)
    minutes = QuantityField()
    who = models.CharField(max_length=80, blank=True)
    paid = MoneyField(default=0)
    how = models.CharField(max_length=6, choices=How.choices, blank=True)
    laced = models.BooleanField(default=False)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, minutes__gt=0, paid__gte=0)
                | Q(reverses__isnull=False, minutes__lt=0, paid__lte=0),
                name="labour_positive_unless_taken_back",
            ),
            models.CheckConstraint(condition=Q(kind__in=TaskKind.values), name="labour_kind_known"),
        ]

    def __str__(self) -> str:
        return f"{self.task} {self.on}"
