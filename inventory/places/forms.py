"""Forms of places, the choice of one, and what their list can be narrowed by."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from inventory.places.models import Place
from inventory.web.fields import BathField
from inventory.web.filters import Finder, one_of, search
from inventory.web.forms import EntryForm, WholeField


def place_field(label: str, *, among: QuerySet[Place] | None = None, **options: Any) -> Any:
    """The choice of a place, which may be left open."""
    places = Place.objects.all() if among is None else among
    options = {"required": False, "empty_label": "Not said", **options}
    return forms.ModelChoiceField(places, label=label, **options)


class PlaceFinder(Finder):
    looks_in = ("name",)
    words = search("Name")
    kind = one_of(Place.Kind.choices)


class PlaceForm(EntryForm):
    name = forms.CharField(max_length=60, help_text="Shelf by the door, tub 1, gallery in town.")
    kind = forms.ChoiceField(choices=Place.Kind.choices, initial=Place.Kind.SHELF)
    litres = BathField(
        "A tub holds",
        required=False,
        help_text="To the brim. Then a bath that leaves no room for its froth is refused in time.",
    )
    holds = WholeField(
        "Takes at once", least=1, most=1000, empty=1, help_text="Batches in a tub, skins on frames; empty: one."
    )
