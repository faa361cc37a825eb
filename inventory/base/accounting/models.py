"""What was decided of the books themselves: changes of the stock valuation method, closings and openings. Rows are only added."""

from django.db import models
from django.db.models import F, Q

from inventory.base.models import CostFlow, Written
from inventory.ledger.models import Posting


class CostFlowChange(Written):
    """Stock is valued by `cost_flow` from `since` on, and by `was` before.

    `after` is the last posting that was written under `was`; none where nothing was posted yet. A posting of an earlier day that
    is written later is valued by the method that holds when it is written (decision 0056).
    """

    since = models.DateField()
    was = models.CharField(max_length=8, choices=CostFlow.choices)
    cost_flow = models.CharField(max_length=8, choices=CostFlow.choices)
    after = models.ForeignKey(Posting, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(was__in=CostFlow.values, cost_flow__in=CostFlow.values), name="cost_flow_change_known"
            ),
            models.CheckConstraint(condition=~Q(was=F("cost_flow")), name="cost_flow_change_is_one"),
        ]

    def __str__(self) -> str:
        return f"{self.cost_flow} from {self.since}"


class Closing(models.Model):
    """The books were closed to `to` (none: wholly open) by `who`; before that they were closed to `was`.

    An earlier day than before opens them again, and has its reason. `who` is the sign-in name as it was then, nobody for the
    owner's commands: the name outlives the person's account and goes with a folder.
    """

    at = models.DateTimeField()
    who = models.CharField(max_length=150, blank=True)
    was = models.DateField(null=True, blank=True)
    to = models.DateField(null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                # A comparison with nothing is neither true nor false, and would pass.
                condition=Q(was__isnull=True) | Q(to__isnull=False, to__gte=F("was")) | ~Q(reason=""),
                name="closing_opened_for_a_reason",
            )
        ]

    def __str__(self) -> str:
        return f"closed to {self.to}" if self.to else "opened"

    @property
    def opened(self) -> bool:
        """Whether days that were closed are open after it."""
        return self.was is not None and (self.to is None or self.to < self.was)
