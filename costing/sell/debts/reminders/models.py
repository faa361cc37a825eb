"""Reminders that were sent: which sale, on which day, in which tone, and what the letter said."""

from django.db import models
from django.db.models import Q

from costing.sell.sales.models import Sale
from inventory.base.models import Struck
from inventory.fields import MoneyField, QuantityField


class Reminder(Struck):
    """A letter about an overdue sale. `amount` was due on the day; `interest` is what the letter asked besides, booked nowhere.

    `percent` a year and `words` are as they were printed.
    """

    class Tone(models.TextChoices):
        FRIENDLY = "friendly", "Friendly"
        FIRM = "firm", "Firm"
        FINAL = "final", "Final"

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="reminders")
    on = models.DateField()
    tone = models.CharField(max_length=8, choices=Tone.choices)
    amount = MoneyField()
    percent = QuantityField(default=0)
    interest = MoneyField(default=0)
    words = models.CharField(max_length=500)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(tone__in=["friendly", "firm", "final"]), name="reminder_tone_known"),
            models.CheckConstraint(
                condition=Q(amount__gt=0, percent__gte=0, interest__gte=0), name="reminder_of_something_owed"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_tone_display().lower()} reminder of {self.sale}"
