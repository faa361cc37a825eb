"""Pages of places: the list and a new one."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from inventory.forms.filters import PlaceFinder
from inventory.forms.places import PlaceForm
from inventory.models import Place
from inventory.selectors import stock
from inventory.services import places
from inventory.tables.stock import PlaceTable
from inventory.views.entry import EntryView
from inventory.views.lists import ListPage


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
        return stock.places()


class PlaceNew(EntryView):
    title = "New place"
    room = "Shelf"
    template_name = "inventory/entry.html"
    form_class = PlaceForm
    submit = "Add the place"
    cancel_name = "places"

    def enter(self, form: PlaceForm) -> Place:
        data = form.cleaned_data
        return places.create(
            name=data["name"], kind=data["kind"], by=self.request.user, request_key=data["request_key"]
        )

    def said(self) -> str:
        return f"{self.made.name} can be chosen now."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Shelf", reverse("shelf")), ("Places", reverse("places"))]
        return super().get_context_data(trail=trail, **more)
