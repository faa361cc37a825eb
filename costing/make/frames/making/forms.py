"""Forms of frames: making one, describing it anew, repairing it, writing it off; and what their list can be narrowed by."""

from decimal import Decimal
from typing import Any

from django import forms

from costing.make.frames.making.services import MOST_LACINGS
from inventory.places.forms import place_field
from inventory.web.fields import MoneyBox
from inventory.web.filters import Finder, search
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField, WholeField

MINUTES = "Your own time counts in the full cost only, at your wage."


class FrameFinder(Finder):
    looks_in = ("number", "place__name", "note")
    words = search("Number, place or note")


class DescribeForm(EntryForm):
    lacings = WholeField(
        "Lacings it is good for",
        least=1,
        most=MOST_LACINGS,
        help_text="How many skins it will hold, one after the other, until it is worn out.",
    )
    cost = MoneyBox(
        required=False,
        label="Paid for it",
        help_text="Besides what came off the shelf: bought ready-made, or what it had cost before these books.",
    )
    minutes = FigureField(label="Minutes", unit="min", required=False, help_text=MINUTES)
    place = place_field("Where its skins dry", empty_label="–", help_text="Laced to it, a skin is moved there.")
    note = NoteField(longest=120, help_text="Its size and wood.")

    def clean(self) -> dict[str, Any]:
        return nothing_for_empty(super().clean() or self.cleaned_data)


class FrameForm(DescribeForm):
    number = forms.CharField(max_length=20, help_text="Its own, cut or painted on it.")
    on = DayField(label="Made on")

    more = ("cost", "place", "note")
    field_order = ("number", "on", "lacings", "minutes", "cost", "place", "note")


class RepairForm(EntryForm):
    more = ("cost", "lacings")
    on = DayField()
    what = forms.CharField(label="What was done", max_length=120, help_text="A split rail replaced.")
    minutes = FigureField(label="Minutes", unit="min", required=False, help_text=MINUTES)
    cost = MoneyBox(required=False, label="Paid", help_text="Besides what came off the shelf.")
    lacings = WholeField(
        "More lacings",
        least=0,
        most=MOST_LACINGS,
        empty=0,
        help_text="On top of those it was still good for; empty: none.",
    )

    def clean(self) -> dict[str, Any]:
        return nothing_for_empty(super().clean() or self.cleaned_data)


class BreakForm(EntryForm):
    on = DayField()
    why = forms.CharField(label="What happened", max_length=200)


def nothing_for_empty(found: dict[str, Any]) -> dict[str, Any]:
    """Money and minutes that were left empty are none."""
    return {**found, **{name: found[name] or Decimal(0) for name in ("cost", "minutes") if name in found}}
