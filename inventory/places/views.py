"""Pages of places: the list, a new one, one described anew."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from inventory.places import selectors as places_read
from inventory.places import services as places
from inventory.places.forms import PlaceFinder, PlaceForm
from inventory.places.models import Place
from inventory.places.tables import PlaceTable
from inventory.web.lists import ListPage
from inventory.web.views import EntryView


class Places(ListPage):
    title = "Places"
    find_label = "Find a place"
    trail = (("Shelf", "shelf"),)
    table_class = PlaceTable
    finder_class = PlaceFinder
    empty_title = "No place yet"
    empty_text = "Enter where things are: shelves, tubs, frames, the freezer, the gallery that keeps pieces for you."
    action = ("New place", "place_new")

    def rows(self) -> QuerySet[Place]:
        return places_read.places()


class _About(EntryView):
    room = "Shelf"
    template_name = "inventory/web/entry.html"
    form_class = PlaceForm
    cancel_name = "places"
    made: Place

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Shelf", reverse("shelf")), ("Places", reverse("places"))]
        return super().get_context_data(trail=trail, **more)


class PlaceNew(_About):
    title = "New place"
    submit = "Add the place"

    def enter(self, form: PlaceForm) -> Place:
        return places.create(**form.described(), by=self.request.user, request_key=form.cleaned_data["request_key"])

    def said(self) -> str:
        return f"{self.made.name} can be chosen now."


class PlaceEdit(_About):
    submit = "Save"
    lead = "How much a tub holds and how many it takes decide what fits and what clashes."

    @cached_property
    def place(self) -> Place:
        return get_object_or_404(Place, pk=self.kwargs["pk"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the place
        return f"Describe {self.place.name}"

    def get_initial(self) -> dict[str, Any]:
        row = self.place
        litres = None if row.litres is None else row.litres / Decimal(1000)
        return {"name": row.name, "kind": row.kind, "litres": litres, "holds": row.holds}

    def enter(self, form: PlaceForm) -> Place:
        return places.change(place=self.place, **form.described(), by=self.request.user)

    def said(self) -> str:
        return f"{self.made.name} is described anew."
