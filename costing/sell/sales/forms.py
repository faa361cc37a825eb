"""Forms of selling: what to sell, a line a thing, the paper around the lines, a credit, and the list's finder."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet

from costing.sell.customers.models import Customer
from costing.sell.fairs.models import Fair
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales import selectors as sales
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.offers.forms import HOW, BoxField, ChannelField
from inventory.models import Material
from inventory.web.fields import MoneyBox
from inventory.web.forms import DayField, EntryForm, FigureField, Finder, words

NOW, BEFORE = "now", "before"


class SaleForm(EntryForm):
    """The paper around the lines."""

    channel = ChannelField()
    how = forms.ChoiceField(choices=HOW, required=False, label="Paid")
    on = DayField(label="Day")
    fair = forms.ModelChoiceField(Fair.objects.all(), required=False, empty_label="No fair")
    kind = forms.ChoiceField(
        choices=[(Sale.Kind.SALE, "Receipt over the counter"), (Sale.Kind.INVOICE, "Invoice")],
        initial=Sale.Kind.SALE,
        label="Paper",
    )
    customer = forms.ModelChoiceField(
        Customer.objects.all(), required=False, empty_label="Nobody by name", help_text="An invoice needs one."
    )
    amount = MoneyBox(required=False, label="How much was paid", help_text="Empty: all of it.")
    keeps = forms.BooleanField(
        required=False, label="Write what it keeps as a cost", help_text="The percent of what it is sold through."
    )
    fee = MoneyBox(required=False, label="Or this much")
    withheld = forms.BooleanField(
        required=False,
        label="It keeps that back and pays me the rest",
        help_text="As a gallery does. Else it is paid apart, as to a card reader.",
    )
    postage = MoneyBox(required=False, label="Postage charged", help_text="A line of the paper.")
    posted = MoneyBox(required=False, label="Postage paid", help_text="What the post took.")
    box = forms.ChoiceField(required=False, label="Box", help_text="It leaves the shelf with the sale.")
    boxes = FigureField(required=False, label="How many", initial=1)
    other = forms.CharField(max_length=200, required=False, label="Something else sold")
    other_price = MoneyBox(required=False, label="Its price")
    note = forms.CharField(max_length=200, required=False, help_text="For yourself; not on the paper.")

    SELLING = ("how", "channel", "keeps")
    MORE = ("fee", "withheld", "amount")
    PARCEL = ("postage", "posted", "box", "boxes")
    PAPER = ("kind", "customer", "on", "fair")
    REST = ("other", "other_price", "note")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        pieces = Material.objects.filter(base="piece", on_hand__gt=0)
        shelf = [(f"{NOW}:{row.code}", row.name) for row in pieces]
        loose = [(f"{BEFORE}:{row.pk}", f"{words} taken {row.on}") for row, words in sales.loose_boxes()]
        groups = [(label, rows) for label, rows in (("From the shelf now", shelf), ("Taken before", loose)) if rows]
        self.fields["box"] = BoxField(groups, help_text="It leaves the shelf with the sale.")
        if not Fair.objects.exists():
            del self.fields["fair"]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("fee") is not None and found.get("keeps"):
            found["keeps"] = False
        if found.get("keeps") and not found.get("channel"):
            found["keeps"] = False
        if found.get("amount") is not None and not found.get("how"):
            self.add_error("how", "Say how it was paid, or clear how much.")
        if found.get("other") and found.get("other_price") is None:
            self.add_error("other_price", "Say what it was sold for, or clear its name.")
        if found.get("other_price") is not None and not found.get("other"):
            self.add_error("other", "Say what was sold, or clear its price.")
        if found.get("box", "").startswith(NOW) and (found.get("boxes") or 0) <= 0:
            self.add_error("boxes", "At least one, or choose no box.")
        return found

    @property
    def selling(self) -> list[forms.BoundField]:
        return self._bound(self.SELLING)

    @property
    def more(self) -> list[forms.BoundField]:
        return self._bound(self.MORE)

    @property
    def parcel(self) -> list[forms.BoundField]:
        return self._bound(self.PARCEL)

    @property
    def paper(self) -> list[forms.BoundField]:
        return self._bound(self.PAPER)

    @property
    def rest(self) -> list[forms.BoundField]:
        return self._bound(self.REST)

    @property
    def more_open(self) -> bool:
        return any(field.errors or field.value() for field in self.more)

    @property
    def parcel_open(self) -> bool:
        return any(field.errors or (field.name != "boxes" and field.value()) for field in self.parcel)

    @property
    def paper_open(self) -> bool:
        """An invoice shows to whom; a receipt of today needs nothing."""
        return self["kind"].value() == Sale.Kind.INVOICE or any(field.errors for field in self.paper)

    @property
    def rest_open(self) -> bool:
        return any(field.errors or field.value() for field in self.rest)

    def _bound(self, names: Sequence[str]) -> list[forms.BoundField]:
        return [self[name] for name in names if name in self.fields]


class SaleFinder(Finder):
    looks_in = ("number", "customer__name", "note")
    words = words("Number, buyer or what was sold")
    kind = django_filters.ChoiceFilter(choices=Sale.Kind.choices, empty_label="Any paper", label="Paper")
    channel = django_filters.ModelChoiceFilter(queryset=Channel.objects.all(), empty_label="Any", label="Through")
    fair = django_filters.ModelChoiceFilter(queryset=Fair.objects.all(), empty_label="Any")
    customer = django_filters.ModelChoiceFilter(queryset=Customer.objects.all(), empty_label="Anybody")
    year = django_filters.ChoiceFilter(method="by_year", choices=list, empty_label="Any", label="Year")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.filters["year"].extra["choices"] = [(str(year), str(year)) for year in sales.years()]

    def by_words(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        # Lines by a subquery: a join would show a paper of two lines twice.
        naming = SaleLine.objects.all()
        for word in value.split():
            naming = naming.filter(Q(words__icontains=word) | Q(skin__tag__iexact=word) | Q(job__number__iexact=word))
        return super().by_words(rows, name, value) | rows.filter(pk__in=naming.values("sale"))

    def by_year(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return rows.filter(on__year=int(value))
