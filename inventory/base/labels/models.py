"""Sheets of labels that the maker prints on."""

from decimal import Decimal

from django.db import models
from django.db.models import Q

from inventory.base.labels.rules import Sheet
from inventory.base.models import Written
from inventory.fields import QuantityField


class LabelSheet(Written):
    """A sheet by its geometry (see `rules.Sheet`), in millimetres."""

    class Paper(models.TextChoices):
        A4 = "a4", "A4"
        LETTER = "letter", "Letter"
        ROLL = "roll", "A roll, one label a page"

    name = models.CharField(max_length=40, unique=True)
    paper = models.CharField(max_length=6, choices=Paper.choices)
    columns = models.PositiveSmallIntegerField()
    rows = models.PositiveSmallIntegerField()
    width = QuantityField()
    height = QuantityField()
    left = QuantityField(default=0)
    top = QuantityField(default=0)
    gap_x = QuantityField(default=0)
    gap_y = QuantityField(default=0)
    offset_x = QuantityField(default=0)
    offset_y = QuantityField(default=0)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="label_sheet_named"),
            models.CheckConstraint(condition=Q(columns__gte=1, rows__gte=1), name="label_sheet_has_labels"),
            models.CheckConstraint(condition=Q(width__gt=0, height__gt=0), name="label_has_a_size"),
            models.CheckConstraint(
                condition=Q(left__gte=0, top__gte=0, gap_x__gte=0, gap_y__gte=0),
                name="label_sheet_margins_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def sheet(self) -> Sheet:
        """Its geometry as plain values."""
        return Sheet(**{name: getattr(self, name) for name in Sheet.__dataclass_fields__})

    @property
    def seen(self) -> str:
        """All that it says, as one text: a page carries it, to notice what changed since it was opened."""
        values = (getattr(self, name) for name in Sheet.__dataclass_fields__)
        return "|".join([self.name, *(f"{v.normalize():f}" if isinstance(v, Decimal) else str(v) for v in values)])
