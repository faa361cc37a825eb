"""Forms of jobs: taking one in one go, putting right what was agreed, telling that it is ready; and the list's finder."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from costing.forms.batches import told_apart
from costing.forms.readings import PhotoField
from costing.models import Job, Payment, Sale
from costing.selectors import customers, jobs
from inventory import units
from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.filters import Finder, words
from inventory.forms.materials import Groups
from inventory.forms.measures import MoneyBox, Suggest, UnitField
from inventory.forms.skins import FINE, WEIGHTS
from inventory.models import Place, Skin
from inventory.selectors import skins, workshop

# No tag can begin so.
COMES_IN = "~now"
OPEN = [("open", "All not handed over")]


def usual_work() -> list[str]:
    return list(Job.objects.order_by("work").values_list("work", flat=True).distinct()[:50])


def usual_ends() -> list[str]:
    return ["the customer wants it back as it is", "not worth going on", "nothing of it is left"]


class SkinHereField(forms.ChoiceField):
    """A customer's skin that is here without a job. Whether it may be named is the service's to judge, so that a form
    sent twice is answered with what its first sending made."""

    def __init__(self, **options: Any) -> None:
        super().__init__(choices=self.offered, **options)

    @staticmethod
    def offered() -> list[tuple[str, str]]:
        return [(COMES_IN, "It comes in now"), *((skin.tag, told_apart(skin)) for skin in jobs.waiting_skins())]

    def valid_value(self, value: str) -> bool:
        return True


class AgreedForm(EntryForm):
    """What may be put right until the hand-over."""

    work = forms.CharField(
        max_length=200, widget=Suggest(usual_work), help_text="What you will do: taw with the hair on, repair, comb."
    )
    price = MoneyBox(help_text="For the whole work, as you agree on it.")
    deposit = MoneyBox(required=False, help_text="Asked before you begin. Empty: the share in your terms; 0 for none.")
    ready_by = DayField(required=False, label="Ready by")
    condition = forms.CharField(
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What you saw with the customer: slipping hair, cuts, beetle, and what you do not promise.",
    )
    note = forms.CharField(max_length=200, required=False)


class JobForm(AgreedForm):
    """Everything at the door in one go."""

    customer = forms.CharField(
        max_length=80, widget=Suggest(customers.names), help_text="A name used before is the same customer."
    )
    postal_address = forms.CharField(max_length=200, required=False, label="Address")
    electronic_address = forms.CharField(max_length=120, required=False, label="Phone or mail")
    skin = SkinHereField(initial=COMES_IN)
    tag = forms.CharField(max_length=20, help_text="What you tie to it.")
    species = forms.CharField(max_length=60, widget=Suggest(skins.species))
    sex_age = forms.CharField(max_length=40, required=False, label="Sex and age")
    green_weight = FigureField(places=FINE, required=False, label="Weight as it came")
    weight_unit = UnitField(label="Weighed in", of=[(name, units.label(name)) for name in WEIGHTS], required=False)
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="Not said")
    photo = PhotoField(required=False, help_text="Of the skin as it came.")
    amount = MoneyBox(required=False, min_value=0, label="Received now", help_text="Towards the deposit.")
    how = forms.ChoiceField(choices=Payment.How.choices, label="Paid by")
    number = forms.CharField(max_length=20, label="Job number")
    taken_on = DayField(label="Taken on", initial=workshop.today)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if self["skin"].value() not in (COMES_IN, None, ""):
            self.fields["tag"].required = self.fields["species"].required = False

    @property
    def groups(self) -> Groups:
        named = {
            "Who": ("customer", "postal_address", "electronic_address"),
            "The skin": ("skin", "tag", "species", "sex_age", "green_weight", "weight_unit", "place"),
            "As it came": ("condition", "photo"),
            "The work": ("work", "price", "deposit", "ready_by"),
            "Money now": ("amount", "how"),
            "On paper": ("number", "taken_on", "note"),
        }
        return [(legend, [self[name] for name in names]) for legend, names in named.items()]

    def clean_skin(self) -> Skin | None:
        """The skin that is here already; None for one that comes in now."""
        tag = self.cleaned_data["skin"]
        if tag == COMES_IN:
            return None
        row = Skin.objects.filter(tag=tag).first() if "\x00" not in tag else None
        if row is None:
            raise forms.ValidationError("There is no such skin. Choose another, or take it in now.")
        return row

    def grams(self) -> Decimal | None:
        amount: Decimal | None = self.cleaned_data["green_weight"]
        unit = self.cleaned_data["weight_unit"] or WEIGHTS[0]
        return None if amount is None else units.to_base(amount, unit, "g")


class ReadyForm(EntryForm):
    on = DayField(label="Told on", help_text="The free days of storage run from here.")


class GiveUpForm(EntryForm):
    """The work ends undone: the day, why, what is kept of the money and, where the page `asks` it, what goes back."""

    on = DayField(label="Given up on", help_text="The skin goes home that day and takes no cost after it.")
    reason = forms.CharField(max_length=200, widget=Suggest(usual_ends))
    kept = MoneyBox(
        required=False,
        min_value=0,
        label="Kept for the work so far",
        help_text="It is billed, and what was paid before is set off. Empty: nothing is kept.",
    )
    paper = forms.ChoiceField(
        choices=[(Sale.Kind.INVOICE, "Invoice"), (Sale.Kind.SALE, "Receipt over the counter")],
        label="Bill for what is kept",
        widget=forms.RadioSelect,
        required=False,
    )
    how = forms.ChoiceField(
        choices=[("", "No money goes back"), *Payment.How.choices],
        required=False,
        label="Paid back",
        widget=forms.RadioSelect,
    )
    amount = MoneyBox(required=False, label="How much goes back", help_text="Empty: all that is then theirs.")

    def __init__(self, *args: Any, asks: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        if not asks:
            del self.fields["how"], self.fields["amount"]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("amount") is not None and not found.get("how"):
            self.add_error("how", "Say how it goes back, or clear how much.")
        return found


class GoesOnForm(EntryForm):
    """Nothing is typed: the button says it."""


class JobFinder(Finder):
    looks_in = ("number", "customer__name", "skin__tag", "skin__species", "work")
    words = words("Number, customer, tag or work")
    state = django_filters.ChoiceFilter(
        method="by_state", choices=[*OPEN, *jobs.STATES.items()], empty_label="Any", label="How it stands"
    )

    def by_state(self, rows: QuerySet[Job], _name: str, value: str) -> QuerySet[Job]:
        return jobs.in_state(rows, value)
