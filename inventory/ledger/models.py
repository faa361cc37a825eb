"""The stock ledger: postings and their movements, and the lots that came in.

Append-only. Nothing here is edited or deleted; a mistake is reversed by a linked movement. Only `services.ledger` writes."""

from django.db import models
from django.db.models import Q

from inventory.base.models import Entry
from inventory.fields import MoneyField, QuantityField
from inventory.materials.models import Material


class Kind(models.TextChoices):
    """Why stock moved. `USE` is issued to a batch or skins; the others that go out are not part of any piece. `CORRECTED` takes
    out again what never came."""

    OPENING = "opening", "Opening stock"
    RECEIPT = "receipt", "Delivery"
    USE = "use", "Issued to work"
    SOLD = "sold", "Gone with a sale"
    SPOILED = "spoiled", "Spoiled"
    OWN_USE = "own_use", "Own use"
    GIVEN = "given", "Given away"
    OTHER = "other", "Other"
    COUNT = "count", "Count difference"
    CORRECTED = "correct", "Delivery corrected"


INWARD = (Kind.OPENING, Kind.RECEIPT)
OUTWARD_REASONS = (Kind.SPOILED, Kind.OWN_USE, Kind.GIVEN, Kind.SOLD, Kind.OTHER)


class Posting(Entry):
    """One event on the shelf: a delivery, a bath mixed, a count. A reversal keeps the kind of what it takes back."""

    kind = models.CharField(max_length=8, choices=Kind.choices)
    on = models.DateField()
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [models.CheckConstraint(condition=Q(kind__in=Kind.values), name="posting_kind_known")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.on}"

    @property
    def remark(self) -> str:
        """The reason, where it says more than the kind."""
        return "" if self.reason.casefold() == self.get_kind_display().casefold() else self.reason


class Movement(models.Model):
    """One material in one posting: signed quantity (base unit) and signed value, with the balance it left.

    `month` is year x 12 + month - 1, so that a month's use is one range of an integer index on every database.
    `typed` keeps the measure as the maker wrote it.
    """

    posting = models.ForeignKey(Posting, on_delete=models.PROTECT, related_name="movements")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    on = models.DateField()
    month = models.PositiveIntegerField()
    quantity = QuantityField()
    value = MoneyField()
    quantity_left = QuantityField()
    value_left = MoneyField()
    typed = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]
        indexes = [
            models.Index(fields=["month", "material", "kind", "quantity", "value"], name="movement_month_cover"),
            models.Index(fields=["material", "on", "quantity_left"], name="movement_material_day"),
        ]
        constraints = [
            models.CheckConstraint(condition=~Q(quantity=0), name="movement_moves_something"),
            models.CheckConstraint(
                condition=Q(quantity_left__gte=0, value_left__gte=0), name="movement_left_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(quantity__gt=0, value__gte=0) | Q(quantity__lt=0, value__lte=0),
                name="movement_one_direction",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material_id} {self.quantity} on {self.on}"


class Lot(models.Model):
    """What came in at once at one cost, and what is left of it. `value` is kept under first in, first out only."""

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="lots")
    movement = models.OneToOneField(Movement, on_delete=models.PROTECT, related_name="lot")
    on = models.DateField()
    expires_on = models.DateField(null=True, blank=True)
    quantity = QuantityField()
    value = MoneyField(default=0)

    class Meta:
        ordering = ["on", "pk"]
        indexes = [models.Index(fields=["material", "on"], condition=Q(quantity__gt=0), name="lot_open")]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gte=0, value__gte=0), name="lot_never_below_nothing"),
            models.CheckConstraint(condition=~Q(quantity=0) | Q(value=0), name="lot_empty_holds_no_value"),
        ]

    def __str__(self) -> str:
        return f"{self.material_id} of {self.on}"


class LotDraw(models.Model):
    """The part of a movement that one lot bore: negative when taken, positive when a reversal puts it back."""

    movement = models.ForeignKey(Movement, on_delete=models.PROTECT, related_name="draws")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="draws")
    quantity = QuantityField()
    value = MoneyField(default=0)

    def __str__(self) -> str:
        return f"{self.quantity} from lot {self.lot_id}"


class Monthly(models.Model):
    """A material in a month in which it moved: what it began with, and what each column changed it by, signed as the movements.

    Worked out from the movements as they are written, and from nothing else; `ledger.months` reads and writes it.
    """

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+", db_index=False)
    month = models.PositiveIntegerField()
    first_quantity = QuantityField(default=0)
    first_value = MoneyField(default=0)
    opening_quantity = QuantityField(default=0)
    opening_value = MoneyField(default=0)
    came_quantity = QuantityField(default=0)
    came_value = MoneyField(default=0)
    used_quantity = QuantityField(default=0)
    used_value = MoneyField(default=0)
    sold_quantity = QuantityField(default=0)
    sold_value = MoneyField(default=0)
    other_quantity = QuantityField(default=0)
    other_value = MoneyField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["material", "month"], name="monthly_once_a_month")]
        indexes = [models.Index(fields=["month", "material"], name="monthly_month")]

    def __str__(self) -> str:
        return f"{self.material_id} in {self.month}"
