"""What rows have in common (who wrote them, how they are reversed), request keys, and the workshop's own row."""

from django.conf import settings
from django.db import models

from inventory.base.languages import ENGLISH, LANGUAGES
from inventory.fields import MoneyField, QuantityField


class Written(models.Model):
    """A row says who wrote it and when; nobody stands for the owner's commands."""

    written_at = models.DateTimeField(auto_now_add=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        abstract = True


class Entry(Written):
    """An entry of the books: a mistake is reversed by a second row that names it, and both stay."""

    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        abstract = True


class Struck(Written):
    """A row of the shed's log that no figure is built on: reversed, it stays to be seen, struck out."""

    reversed_at = models.DateTimeField(null=True, blank=True)
    reverser = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        abstract = True


class Bought(models.Model):
    """What is bought. Amounts beside it are without the deductible `tax` (at `tax_percent`; none: nothing is deducted) and in
    the workshop's currency; `original_sum` is what was paid in another."""

    tax_percent = QuantityField(null=True, blank=True)
    tax = MoneyField(default=0)
    original_sum = MoneyField(null=True, blank=True)
    original_currency = models.CharField(max_length=3, blank=True)

    class Meta:
        abstract = True


def bought(name: str) -> list[models.CheckConstraint]:
    """What must hold of a row that is `Bought`."""
    original = models.Q(original_sum__isnull=False, original_sum__gt=0) & ~models.Q(original_currency="")
    return [
        models.CheckConstraint(condition=tax_has_a_rate(), name=f"{name}_tax_has_a_rate"),
        models.CheckConstraint(
            condition=models.Q(original_sum__isnull=True, original_currency="") | original,
            name=f"{name}_original_sum_has_a_currency",
        ),
    ]


def tax_has_a_rate() -> models.Q:
    # Without the question for NULL an empty rate would make the whole unknown, which no database refuses.
    rated = models.Q(tax=0) | models.Q(tax_percent__isnull=False, tax_percent__gt=0)
    return rated & ~models.Q(tax_percent__lt=0)


class Request(models.Model):
    """`said` is the SHA-256 of what was sent with the key, in hexadecimal; empty where that is not known."""

    key = models.CharField(max_length=64, primary_key=True)
    made = models.CharField(max_length=40)
    said = models.CharField(max_length=64, blank=True)
    made_pk = models.BigIntegerField(null=True)
    written_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.key


class How(models.TextChoices):
    """How something was paid; but for barter the account that the money moved in. Empty: not said."""

    CASH = "cash", "Cash"
    BANK = "bank", "Bank"
    CARD = "card", "Card"
    BARTER = "barter", "Barter"
    OTHER = "other", "Otherwise"

    @classmethod
    def in_money(cls) -> list[tuple[str, str]]:
        """Without barter, which has a page of its own and moves no money."""
        return [(str(value), label) for value, label in cls.choices if value != cls.BARTER]


class CostFlow(models.TextChoices):
    AVERAGE = "average", "Weighted average"
    FIFO = "fifo", "First in, first out"


class BathUnit(models.TextChoices):
    LITRES = "L", "Litres"
    US_GALLONS = "us_gallon", "US gallons"
    IMPERIAL_GALLONS = "imperial_gallon", "Imperial gallons"


class Degrees(models.TextChoices):
    CELSIUS = "C", "Celsius (°C)"
    FAHRENHEIT = "F", "Fahrenheit (°F)"


class Measures(models.TextChoices):
    METRIC = "metric", "Metric"
    US = "us", "US"
    IMPERIAL = "imperial", "Imperial"


class Sheet(models.TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", "US Letter"


class Reference(models.TextChoices):
    """How the reference of a payment is written (`costing.sell.payments.transfers`)."""

    NONE = "none", "None: the number of the invoice"
    RF = "rf", "RF creditor reference (ISO 11649)"
    FINNISH = "fi", "Finnish reference number"
    BELGIAN = "be", "Belgian structured communication"
    SWISS = "ch", "Swiss QR reference"


class Workshop(models.Model):
    """One row. `today` pins the calendar of a demonstration; empty means the real day.

    `time_zone` is an IANA name, such as Europe/Helsinki; empty means the server's own. `bath_unit` and `degrees`: what baths and
    temperatures are entered and shown in, however they are kept. `locale`: how figures and days are written, such as de-DE; empty:
    nobody has chosen. `country`: where it stands, by ISO 3166-1. `units` come first in forms and areas, `paper` is what is printed
    on, `paper_language` in what words, `tax_name` what the tax is called.
    `deducts_tax`: the tax on what is bought comes back, so goods, skins and costs ask for it and count without it.
    `iban`, `bic` and `payment_name` (empty: the maker's) say where an invoice is paid, `reference` how its payment is marked.
    `first_steps_over`: Today shows a newcomer's list no more, because a first price was set or the maker put it away.
    """

    name = models.CharField(max_length=80, default="My workshop")
    maker = models.CharField(max_length=80, blank=True)
    postal_address = models.CharField(max_length=200, blank=True)
    country = models.CharField(max_length=2, blank=True)
    electronic_address = models.CharField(max_length=120, blank=True)
    stand_in = models.CharField(max_length=120, blank=True)
    time_zone = models.CharField(max_length=64, blank=True)
    currency = models.CharField(max_length=3, default="EUR")
    cost_flow = models.CharField(max_length=8, choices=CostFlow.choices, default=CostFlow.AVERAGE)
    bath_unit = models.CharField(max_length=16, choices=BathUnit.choices, default=BathUnit.LITRES)
    degrees = models.CharField(max_length=1, choices=Degrees.choices, default=Degrees.CELSIUS)
    locale = models.CharField(max_length=16, blank=True)
    units = models.CharField(max_length=8, choices=Measures.choices, default=Measures.METRIC)
    paper = models.CharField(max_length=6, choices=Sheet.choices, default=Sheet.A4)
    paper_language = models.CharField(max_length=2, default=ENGLISH)
    tax_name = models.CharField(max_length=20, blank=True)
    iban = models.CharField(max_length=34, blank=True)
    bic = models.CharField(max_length=11, blank=True)
    payment_name = models.CharField(max_length=70, blank=True)
    reference = models.CharField(max_length=4, choices=Reference.choices, default=Reference.NONE)
    deducts_tax = models.BooleanField(default=False)
    closed_to = models.DateField(null=True, blank=True)
    today = models.DateField(null=True, blank=True)
    first_steps_over = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="workshop_is_one"),
            models.CheckConstraint(condition=models.Q(cost_flow__in=CostFlow.values), name="workshop_cost_flow_known"),
            models.CheckConstraint(condition=models.Q(bath_unit__in=BathUnit.values), name="workshop_bath_unit_known"),
            models.CheckConstraint(condition=models.Q(degrees__in=Degrees.values), name="workshop_degrees_known"),
            models.CheckConstraint(condition=models.Q(units__in=Measures.values), name="workshop_units_known"),
            models.CheckConstraint(condition=models.Q(paper__in=Sheet.values), name="workshop_paper_known"),
            models.CheckConstraint(
                condition=models.Q(paper_language__in=list(LANGUAGES)), name="workshop_paper_language_known"
            ),
            models.CheckConstraint(condition=models.Q(reference__in=Reference.values), name="workshop_reference_known"),
            models.CheckConstraint(
                condition=models.Q(bic="") | ~models.Q(iban=""), name="workshop_bic_is_of_an_account"
            ),
        ]

    def __str__(self) -> str:
        return self.name
