"""The forms of a heading, of a kind of cost, and of which tax form is filled in."""

from typing import Any

from django import forms

from costing.sell.headings import selectors as headings
from costing.sell.headings.models import CostKind
from costing.sell.headings.shipped import FORMS, KINDS
from inventory.web.fields import MoneyBox
from inventory.web.forms import EntryForm, NoteField


class TaxFormForm(EntryForm):
    form = forms.ChoiceField(label="Form", choices=[(name, name) for name in FORMS], widget=forms.RadioSelect)


class HeadingForm(EntryForm):
    words = forms.CharField(max_length=80, label="Heading")
    line = NoteField("Line", longest=10, help_text="Its number on the form.")
    stock = forms.BooleanField(required=False, label="The stock used comes under it")


class HeadingDropForm(EntryForm):
    """Asks nothing."""


class KindForm(EntryForm):
    """Of a kind that comes with the program, name and nature stay."""

    name = forms.CharField(max_length=60)
    heading = forms.ChoiceField(required=False)
    place = forms.ChoiceField(label="A cost of", choices=CostKind.Place.choices, initial=CostKind.Place.YEAR)
    asks = forms.ChoiceField(label="Entered by", required=False, choices=CostKind.Asks.choices)
    rate = MoneyBox(required=False, label="Rate", help_text="Money for one km or mi, as your tax office allows it.")
    unit = forms.ChoiceField(required=False, label="For one", choices=[("", "–"), *CostKind.Unit.choices])
    closed = forms.BooleanField(required=False, label="No longer offered")

    def __init__(self, *args: Any, kind: CostKind | None, **options: Any) -> None:
        super().__init__(*args, **options)
        known = [(row.words, str(row)) for row in headings.headings()]
        self.fields["heading"] = forms.ChoiceField(required=False, choices=[("", "No heading"), *known])
        if kind is None:
            self.fields["code"] = forms.CharField(max_length=20, help_text="Short, for files: feed, training.")
            del self.fields["closed"]
            self.order_fields(["name", "code"])
        elif kind.code in KINDS:
            for name in ("name", "place", "asks"):
                del self.fields[name]
        if kind is not None and kind.asks != CostKind.Asks.DISTANCE:
            for name in ("rate", "unit"):
                del self.fields[name]
