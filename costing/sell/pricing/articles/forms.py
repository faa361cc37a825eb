"""Forms of the list price and of a price for a target; and what the list of articles can be narrowed by."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet

from costing.sell.pricing.forms import TypedPrice, fee_words
from costing.sell.pricing.rules import Channel
from inventory.models import Method
from inventory.web.fields import MoneyBox
from inventory.web.filters import Finder, one_of, search
from inventory.web.forms import EntryForm, FigureField

AIMS = ("hourly", "markup", "margin")


class PriceForm(EntryForm):
    list_price = TypedPrice(required=False, label="List price", help_text="What you ask. Empty takes it off.")


class TargetForm(forms.Form):
    """Asked by address: on which channel, and what a price should reach there."""

    channel = forms.ChoiceField(required=False)
    hourly = MoneyBox(required=False, label="An hour should earn")
    markup = FigureField(required=False, unit="%", label="Or markup on full cost")
    margin = FigureField(required=False, unit="%", label="Or margin on the price")

    def __init__(self, *args: Any, channels: Sequence[Channel], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["channel"] = forms.ChoiceField(
            required=False,
            choices=[
                (each.name, f"{each.name}, {fee_words(each)}" if fee_words(each) else each.name) for each in channels
            ],
        )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        given = [name for name in AIMS if found.get(name) is not None]
        if len(given) > 1:
            self.add_error(given[-1], "One aim at a time: clear the others.")
        for name in AIMS:
            if (value := found.get(name)) is not None and value < 0:
                self.add_error(name, f"It cannot be less than nothing; {value} was given.")
        return found


class ArticleFinder(Finder):
    looks_in = ("number", "kind", "grade", "place__name")
    words = search("Number, kind or place")
    method = one_of(Method.choices)
    gone = one_of(
        [("no", "In stock"), ("yes", "Sold or gone")], "Where", method="by_gone", empty_label="In stock and sold"
    )

    def by_gone(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return rows.filter(gone_on__isnull=value == "no")
