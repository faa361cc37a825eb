"""What was taken out again of a delivery that never came, line by line."""

from django.db import models

from inventory.deliveries.models import DeliveryLine
from inventory.ledger.models import Movement


class CorrectedLine(models.Model):
    """The movement that took out what was left of a delivery's line. Reversed, its delivery stands again."""

    line = models.ForeignKey(DeliveryLine, on_delete=models.PROTECT, related_name="corrections")
    movement = models.OneToOneField(Movement, on_delete=models.PROTECT, related_name="corrects")

    def __str__(self) -> str:
        return f"of line {self.line_id}"
