"""The workshop itself: who makes, in which currency, by which cost flow, and how far the books are closed."""

from __future__ import annotations

from django.db import models


class CostFlow(models.TextChoices):
    AVERAGE = "average", "Weighted average"
    FIFO = "fifo", "First in, first out"


class Workshop(models.Model):
    """One row. `today` pins the calendar of a demonstration; empty means the real day."""

    name = models.CharField(max_length=80, default="My workshop")
    maker = models.CharField(max_length=80, blank=True)
    postal_address = models.CharField(max_length=200, blank=True)
    electronic_address = models.CharField(max_length=120, blank=True)
    currency = models.CharField(max_length=3, default="EUR")
    cost_flow = models.CharField(max_length=8, choices=CostFlow.choices, default=CostFlow.AVERAGE)
    closed_to = models.DateField(null=True, blank=True)
    today = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="workshop_is_one"),
            models.CheckConstraint(condition=models.Q(cost_flow__in=CostFlow.values), name="workshop_cost_flow_known"),
        ]

    def __str__(self) -> str:
        return self.name
