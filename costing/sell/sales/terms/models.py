"""How the workshop sells: tax, days to pay, deposits, storage, the turnover to watch. One row."""

from django.db import models
from django.db.models import Q

from costing.sell.rounding.rules import LEVELS, WAYS, Level, Way
from costing.sell.sales.terms.rules import LONGEST, USUAL, Tone
from inventory.fields import MoneyField, QuantityField

LAWS = [("EU", "European Union"), ("UK", "United Kingdom"), ("US", "None (United States and others)")]


class Terms(models.Model):
    """The maker's own. `tax_number` empty: not registered, no paper shows a tax. `deposit_percent` of an agreed price.

    `law` says whose list of fields an invoice must fill; up to `short_limit` the short form will do (empty: never).

    `tax_level` and `tax_way`: how the tax of a paper is rounded. `deposit_tax`: the tax of a deposit is due when it comes.
    `late_interest_percent` a year is asked for in reminders of what is overdue (0: none), whose words are `reminder_` and the tone.

    `turnover_limit` is watched over the calendar year, or over any twelve months where `rolling`.
    """

    tax_number = models.CharField(max_length=40, blank=True)
    business_number = models.CharField(max_length=40, blank=True)
    law = models.CharField(max_length=2, choices=LAWS, default="EU")
    short_limit = MoneyField(null=True, blank=True)
    prices_with_tax = models.BooleanField(default=True)
    tax_level = models.CharField(max_length=4, choices=LEVELS, default=Level.RATE.value)
    tax_way = models.CharField(max_length=9, choices=WAYS, default=Way.HALF_UP.value)
    deposit_tax = models.BooleanField(default=False)
    untaxed_words = models.CharField(max_length=120, default="No tax is charged: the seller is not registered for it.")
    payment_days = models.PositiveSmallIntegerField(default=14)
    payment_words = models.CharField(max_length=200, blank=True)
    late_interest_percent = QuantityField(default=0)
    reminder_friendly = models.CharField(max_length=LONGEST, default=USUAL[Tone.FRIENDLY])
    reminder_firm = models.CharField(max_length=LONGEST, default=USUAL[Tone.FIRM])
    reminder_final = models.CharField(max_length=LONGEST, default=USUAL[Tone.FINAL])
    deposit_percent = QuantityField(default=40)
    storage_free_days = models.PositiveSmallIntegerField(default=30)
    storage_per_day = MoneyField(default=0)
    turnover_limit = MoneyField(null=True, blank=True)
    rolling = models.BooleanField(default=False)

    class Meta:
        verbose_name_plural = "terms"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="terms_are_one"),
            models.CheckConstraint(
                condition=Q(deposit_percent__gte=0, deposit_percent__lte=100, storage_per_day__gte=0)
                & ~Q(turnover_limit__lte=0)
                & ~Q(short_limit__lte=0),
                name="terms_believable",
            ),
            models.CheckConstraint(
                condition=Q(tax_level__in=[name for name, _ in LEVELS], tax_way__in=[name for name, _ in WAYS])
                & (~Q(tax_way=Way.DOWN.value) | Q(tax_level=Level.RATE.value, prices_with_tax=False)),
                name="terms_tax_rounding_allowed",
            ),
            models.CheckConstraint(
                condition=Q(late_interest_percent__gte=0, late_interest_percent__lte=100),
                name="terms_interest_believable",
            ),
        ]

    def __str__(self) -> str:
        return "Terms"

    @property
    def taxed(self) -> bool:
        """Whether a paper of today carries tax: who has a tax number is registered."""
        return bool(self.tax_number)

    def reminder_words(self, tone: str) -> str:
        """What a reminder of that tone says."""
        words: str = getattr(self, f"reminder_{tone}")
        return words
