"""Sales, their papers and the series that number them. Issued means frozen: a mistake is credited, never edited."""

from django.db import models
from django.db.models import Q

from costing.sell.customers.models import Customer
from costing.sell.fairs.models import Fair
from costing.sell.jobs.models import Job
from costing.sell.pricing.channels.models import Channel
from costing.sell.rounding.rules import LEVELS, WAYS, Level, Rounding, Way
from inventory.base.models import Written
from inventory.fields import ExactField, MoneyField, QuantityField
from inventory.models import Article, Posting, Skin


class Sale(Written):
    """What was sold or credited, with its paper. Amounts of a credit are negative; `seller` and `buyer` are as they were then.

    An opening is what was still to be paid of an invoice when the books began: no turnover of theirs, and its number is of no
    series here.

    `on` is the day of supply, `issued_on` that of the paper. `packing` is the posting that took the box from the shelf.
    `settled_on` is kept beside what the paper says: the last day of what settled it; None while anything is left or overpaid, and
    of a credit.
    """

    class Kind(models.TextChoices):
        SALE = "sale", "Sale"
        INVOICE = "invoice", "Invoice"
        CREDIT = "credit", "Credit note"
        OPENING = "opening", "Invoice of the old books"

    kind = models.CharField(max_length=7, choices=Kind.choices)
    sequence = models.PositiveIntegerField()
    number = models.CharField(max_length=20, unique=True)
    on = models.DateField()
    issued_on = models.DateField()
    due_on = models.DateField(null=True, blank=True)
    settled_on = models.DateField(null=True, blank=True, db_index=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, null=True, blank=True, related_name="sales")
    channel = models.ForeignKey(Channel, on_delete=models.PROTECT, null=True, blank=True, related_name="sales")
    fair = models.ForeignKey(Fair, on_delete=models.PROTECT, null=True, blank=True, related_name="sales")
    credits = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="credited_by")
    packing = models.ForeignKey(Posting, on_delete=models.PROTECT, null=True, blank=True, related_name="sales")
    reason = models.CharField(max_length=200, blank=True)
    note = models.CharField(max_length=200, blank=True)
    currency = models.CharField(max_length=3)
    seller = models.JSONField()
    buyer = models.JSONField()
    taxed = models.BooleanField(default=False)
    prices_with_tax = models.BooleanField(default=True)
    tax_level = models.CharField(max_length=4, choices=LEVELS, default=Level.RATE.value)
    tax_way = models.CharField(max_length=9, choices=WAYS, default=Way.HALF_UP.value)
    net = MoneyField()
    tax = MoneyField(default=0)
    gross = MoneyField()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "sequence"], name="sale_number_used_once"),
            models.CheckConstraint(
                condition=Q(kind="credit", credits__isnull=False, gross__lte=0)
                | Q(kind__in=["sale", "invoice", "opening"], credits__isnull=True, gross__gte=0),
                name="sale_sign_fits_its_kind",
            ),
            models.CheckConstraint(condition=Q(taxed=True) | Q(tax=0), name="sale_untaxed_has_no_tax"),
            models.CheckConstraint(
                condition=Q(settled_on__isnull=True)
                | Q(kind__in=["sale", "invoice", "opening"], settled_on__gte=models.F("on")),
                name="sale_settled_from_its_day_on",
            ),
            models.CheckConstraint(
                condition=Q(tax_level__in=[name for name, _ in LEVELS], tax_way__in=[name for name, _ in WAYS]),
                name="sale_tax_rounding_known",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def rounding(self) -> Rounding:
        """How its tax was rounded, frozen with it."""
        return Rounding(Level(self.tax_level), Way(self.tax_way))


class SaleLine(models.Model):
    """A line of a sale: `asked` for one, `discount` off the line, `relief` why a rate of zero applies, `gross` what was taken.

    A credit's line has a negative quantity, discount and amounts, and names the line that it takes back: `of_line`.
    `book`, `full` and `own_minutes` are what the piece or the job had borne on the day, frozen. `standing` falls when it is
    credited, so that the database holds one standing sale of an article.
    """

    class Kind(models.TextChoices):
        ARTICLE = "article", "A piece"
        WORK = "work", "Work on a customer's skin"
        SCRAP = "scrap", "A spoiled skin"
        POSTAGE = "postage", "Postage"
        TIP = "tip", "Tip"
        OTHER = "other", "Something else"

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="lines")
    of_line = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="credit_lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=7, choices=Kind.choices)
    article = models.ForeignKey(Article, on_delete=models.PROTECT, null=True, blank=True, related_name="sale_lines")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="sale_lines")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, null=True, blank=True, related_name="sale_lines")
    words = models.CharField(max_length=200)
    quantity = QuantityField(default=1)
    asked = MoneyField()
    discount = MoneyField(default=0)
    tax_percent = QuantityField(default=0)
    relief = models.CharField(max_length=120, blank=True)
    net = MoneyField()
    tax = MoneyField(default=0)
    gross = MoneyField()
    book = MoneyField(default=0)
    full = MoneyField(default=0)
    own_minutes = ExactField(default=0)
    standing = models.BooleanField(default=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["sale", "position"], name="sale_line_position_once"),
            models.UniqueConstraint(fields=["article"], condition=Q(standing=True), name="article_sold_once"),
            models.UniqueConstraint(fields=["job"], condition=Q(standing=True), name="job_billed_once"),
            models.UniqueConstraint(fields=["skin"], condition=Q(standing=True), name="skin_scrapped_once"),
            models.CheckConstraint(
                condition=Q(kind="article", article__isnull=False)
                | Q(kind="work", job__isnull=False)
                | Q(kind="scrap", skin__isnull=False)
                | Q(kind__in=["postage", "tip", "other"], article__isnull=True, job__isnull=True, skin__isnull=True),
                name="sale_line_names_its_thing",
            ),
            models.CheckConstraint(condition=Q(asked__gte=0, tax_percent__gte=0), name="sale_line_not_negative"),
            models.CheckConstraint(
                condition=Q(quantity__gt=0, of_line__isnull=True) | Q(quantity__lt=0, of_line__isnull=False),
                name="sale_line_credit_names_its_line",
            ),
        ]

    def __str__(self) -> str:
        return self.words


class Series(models.Model):
    """A run of paper numbers without a gap, from `first` on. `last` is the last number given; taken under a lock, inside the
    sale's transaction."""

    class Kind(models.TextChoices):
        SALE = "sale", "Sale over the counter"
        INVOICE = "invoice", "Invoice"
        CREDIT = "credit", "Credit note"
        RECEIPT = "receipt", "Receipt for money"

    kind = models.CharField(max_length=7, choices=Kind.choices, unique=True)
    prefix = models.CharField(max_length=8)
    digits = models.PositiveSmallIntegerField(default=3)
    first = models.PositiveIntegerField(default=1)
    last = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name_plural = "series"
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=["sale", "invoice", "credit", "receipt"]), name="series_known"),
            models.CheckConstraint(condition=Q(first__gte=1), name="series_begins_at_one_or_later"),
        ]

    def __str__(self) -> str:
        return self.prefix
