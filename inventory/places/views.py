"""Pages of places: the list, a new one, a changed one."""

from decimal import Decimal
from typing import Any

from inventory.places import selectors as places_read, services as places
from inventory.places.forms import PlaceFinder, PlaceForm
from inventory.places.models import Place
from inventory.places.tables import PlaceTable
from inventory.web.lists import ListPage
from inventory.web.views import About, EntryView


class Places(ListPage):
    title = "Places"
    trail = ("shelf",)
    table_class = PlaceTable
    finder_class = PlaceFinder
    rows = staticmethod(places_read.places)
    empty_title = "No place yet"
    empty_text = "Enter where things are: shelves, tubs, frames, the freezer, the gallery that keeps pieces for you."
    action = ("New place", "place_new")
    labelled = "shelf"


class PlaceNew(EntryView):
    title = "New place"
    trail = ("shelf", "places")
    form_class = PlaceForm
    submit = "Add place"
    cancel_page = "places"
    success_message = "{self.made.name} can be chosen now."

    def enter(self, form: PlaceForm) -> Place:
        return places.create(**self.sent(form))


class PlaceEdit(About[Place]):
    model = Place
    form_class = PlaceForm
    title = "Edit {self.thing.name}"
    trail = ("shelf", "places")
    cancel_page = "places"
    lead = "How much a tub holds and how many it takes decide what fits and what clashes."
    prefilled = ("name", "kind", "holds")
    success_message = "{self.made.name} is changed."

    def get_initial(self) -> dict[str, Any]:
        litres = self.thing.litres
        return {**super().get_initial(), "litres": None if litres is None else litres / Decimal(1000)}

    def enter(self, form: PlaceForm) -> Place:
        return places.change(place=self.thing, **self.given(form))
