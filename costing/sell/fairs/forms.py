"""Forms of fairs: the plan, what is packed, a sale in three touches, closing; and what the list can be narrowed by."""

from collections.abc import Iterable
from typing import Any

from django import forms

from costing.sell.fairs.models import Fair
from costing.sell.sales.offers.forms import ChannelField, PickField, PriceBox, piece_words
from inventory.models import Article, Place
from inventory.places.forms import place_field
from inventory.web.fields import Suggest, used
from inventory.web.filters import Finder, search
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField


class FairForm(EntryForm):
    name = forms.CharField(max_length=80, widget=Suggest(used(Fair, "name")))
    on = DayField(label="Day")
    place = place_field(
        "Packed into",
        among=Place.objects.filter(kind__in=[Place.Kind.FAIR, Place.Kind.VAN, Place.Kind.OTHER]),
        help_text="The fair box, the van: pieces are there until they are sold or back.",
    )
    note = NoteField()


class PackForm(EntryForm):
    on = DayField(label="Packed on")

    def __init__(self, *args: Any, pieces: Iterable[Article], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["articles"] = PickField([(row.number, piece_words(row)) for row in pieces], label="Pieces")


class FairSellForm(EntryForm):
    """The price in the box is the sale price; the list price stands beside it, if it is higher."""

    price = PriceBox(label="Price")
    on = DayField(label="Day")
    cash = ChannelField(label="Cash goes through")
    card = ChannelField(label="A card goes through", help_text="The fee is recorded as a cost.")


class CloseForm(EntryForm):
    on = DayField(label="Counted on")
    to = place_field("They go back to")
    hours = FigureField(label="Hours at the stall", unit="h", help_text="With setting up and packing away.")

    def __init__(self, *args: Any, pieces: Iterable[Article], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["back"] = PickField(
            [(row.number, piece_words(row)) for row in pieces],
            label="These came back",
            help_text="Count what lies before you; what is not ticked and not sold is missing.",
        )
        self.order_fields(["back", "to", "hours", "on"])


class FairFinder(Finder):
    looks_in = ("name", "note", "place__name")
    words = search("Name")
