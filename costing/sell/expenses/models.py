"""Costs that are not stock, and hours that no skin bears."""

from decimal import Decimal

from django.db import models
from django.db.models import Q

from costing.sell.fairs.models import Fair
from costing.sell.headings.models import CostKind
from costing.sell.headings.shipped import KINDS
from costing.sell.sales.models import Sale
from inventory import formats
from inventory.base.models import Bought, Entry, How, bought
from inventory.fields import MoneyField, QuantityField


class Expense(Entry, Bought):
    """What selling cost or the year cost, of a kind that the list of kinds has. `withheld`: kept back by who paid us.

    `how` it was paid as it came, where that was said; `due_on`: it was not, and is paid by entries of their own. A `distance`
    driven at a `rate` moves no money. Equipment has a life in years, a contractor is a `person`. `amount` is without the tax that
    is deducted. `bill`: the paper that says it, by its name in the store.
    """

    class Kind(models.TextChoices):
        FEE = "fee", "Selling fee"
        POSTAGE = "postage", "Postage"
        PITCH = "pitch", "Pitch"
        FUEL = "fuel", "Fuel"
        OVERHEAD = "overhead", "Overhead"
        OTHER = "other", "Other selling cost"

    on = models.DateField()
    kind = models.CharField(max_length=20)
    amount = MoneyField()
    words = models.CharField(max_length=200, blank=True)
    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, null=True, blank=True, related_name="expenses")
    fair = models.ForeignKey(Fair, on_delete=models.PROTECT, null=True, blank=True, related_name="expenses")
    withheld = models.BooleanField(default=False)
    how = models.CharField(max_length=6, choices=How.choices, blank=True)
    due_on = models.DateField(null=True, blank=True)
    distance = QuantityField(null=True, blank=True)
    unit = models.CharField(max_length=2, choices=CostKind.Unit.choices, blank=True)
    rate = MoneyField(null=True, blank=True)
    life_years = models.PositiveSmallIntegerField(null=True, blank=True)
    person = models.CharField(max_length=80, blank=True)
    bill = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, amount__gt=0) | Q(reverses__isnull=False, amount__lt=0),
                name="expense_positive_unless_taken_back",
            ),
            models.CheckConstraint(
                condition=Q(how="") | Q(due_on__isnull=True, withheld=False), name="expense_paid_due_or_withheld"
            ),
            models.CheckConstraint(condition=~Q(kind=""), name="expense_kind_named"),
            models.CheckConstraint(
                condition=Q(distance__isnull=True, rate__isnull=True, unit="")
                | Q(
                    distance__isnull=False,
                    rate__isnull=False,
                    distance__gt=0,
                    rate__gt=0,
                    how="",
                    due_on__isnull=True,
                    withheld=False,
                ),
                name="expense_distance_at_a_rate",
            ),
            models.CheckConstraint(condition=~Q(life_years__lt=1), name="expense_life_positive"),
            models.CheckConstraint(
                condition=Q(withheld=False) | Q(sale__isnull=False), name="expense_withheld_from_a_sale"
            ),
            *bought("expense"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount}"

    def get_kind_display(self) -> str:
        """The kind in words; of the maker's own kinds as the list read it along (`kind_name`)."""
        if self.kind in KINDS:
            return KINDS[self.kind].name
        named = getattr(self, "kind_name", None)
        return named or str(CostKind.objects.filter(code=self.kind).first() or self.kind)

    @property
    def about(self) -> str:
        """Who, how far, for how long, how it was paid: what of it was said, in words."""
        found = [
            self.person,
            f"{formats.plain(self.distance)} {self.unit} at {formats.plain(self.rate)}"
            if self.distance and self.rate
            else "",
            f"over {self.life_years} years" if self.life_years else "",
            self.get_how_display().lower() if self.how else "",
            f"due {formats.day(self.due_on)}" if self.due_on else "",
        ]
        return ", ".join(filter(None, found))

    @property
    def pays(self) -> bool:
        """Whether money of the maker's moved for it on its day."""
        return not self.withheld and self.due_on is None and self.distance is None

    @property
    def paid(self) -> Decimal:
        """What was paid or kept back, tax and all."""
        return self.amount + self.tax


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
