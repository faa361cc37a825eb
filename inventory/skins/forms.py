"""Forms of skins: a new one, a changed one, a weight in the unit it was weighed in; and what the list can be narrowed by."""

from decimal import Decimal
from typing import Any

from django import forms
from django.forms import BoundField

from inventory import units
from inventory.base import measures
from inventory.places.forms import place_field
from inventory.skins import selectors as skins
from inventory.skins.models import Skin
from inventory.suppliers import selectors as suppliers
from inventory.web.bills import Buys
from inventory.web.fields import HowField, MoneyBox, Suggest, UnitField, halved, labelled
from inventory.web.filters import Finder, one_of, search
from inventory.web.forms import DayField, FigureField, GroupedForm, NoteField


class SkinFinder(Finder):
    looks_in = ("tag", "species", "sex_age", "customer", "supplier__name")
    words = search("Tag, species or name")
    stage = one_of(Skin.Stage.choices)
    owner = one_of(Skin.Owner.choices, "Owner", empty_label="Anybody")


WEIGHTS = ("kg", "lb", "g")
AREAS = ("dm2", "sq_ft", "cm2")
# By measure: the entry of its unit, the workshop's own unit where none was chosen, and the one it is kept in.
MEASURES = {
    "green_weight": ("weight_unit", measures.weight_unit, "g"),
    "dry_weight": ("weight_unit", measures.weight_unit, "g"),
    "wet_area": ("area_unit", measures.area_unit, "cm2"),
    "dry_area": ("area_unit", measures.area_unit, "cm2"),
}
PLAIN = ("species", "sex_age", "customer", "source", "origin", "defects")
FINE = 6  # what is kept to a thousandth of a gram must be shown and sent back whole when it is spoken of in kilograms


def _areas() -> list[tuple[str, str]]:
    return labelled(*measures.first(measures.area_unit(), *AREAS))


def _weights() -> list[tuple[str, str]]:
    return labelled(*measures.first(measures.weight_unit(), *WEIGHTS))


def weight_unit_field() -> UnitField:
    return UnitField(label="Weighed in", of=_weights, required=False)


def grams(amount: Decimal | None, unit: str) -> Decimal | None:
    """A weight as it was typed; without a unit it is in the workshop's own."""
    return None if amount is None else units.to_base(amount, unit or measures.weight_unit(), "g")


class SkinForm(GroupedForm):
    """What may be said better later; where it is is said by a move. `measured` gives weight in grams and areas in cm2."""

    legends = {
        "The skin": ("tag", "species", "green_weight", "weight_unit", "place"),
        "Where it came from": ("date_in", "supplier", "price"),
    }
    more: tuple[str, ...] = (
        "owner",
        "how",
        "customer",
        "sex_age",
        "source",
        "origin",
        "dry_weight",
        "wet_area",
        "dry_area",
        "area_unit",
        "defects",
    )
    species = halved(forms.CharField(max_length=60, widget=Suggest(skins.species), help_text="Sheep, reindeer."))
    sex_age = NoteField("Sex and age", longest=40, help_text="Ram, cow, yearling.")
    customer = NoteField(longest=80, help_text="Whose it is, if it is not yours.")
    supplier = NoteField("From", longest=80, widget=Suggest(suppliers.supplier_names))
    source = NoteField("How it was got", help_text="Slaughter, hunt, licence or consignment number.")
    origin = NoteField(longest=60, help_text="Country or region where the animal lived, as labels name it: Finland.")
    defects = NoteField(longest=300, help_text="Holes, scars, bald spots, slipping hair.")
    green_weight = FigureField(places=FINE, required=False, help_text="Fresh, before salting.")
    dry_weight = FigureField(
        places=FINE,
        required=False,
        help_text="As you expect it, in the unit above: its weighings then say when it is dry.",
    )
    weight_unit = weight_unit_field()
    wet_area = FigureField(places=FINE, required=False, label="Area, wet")
    dry_area = FigureField(places=FINE, required=False, label="Area, dry", help_text="As finished.")
    area_unit = UnitField(label="Areas measured in", of=_areas, required=False)

    def measured(self) -> dict[str, Any]:
        """The measures in base units, and the units they were told in, as the service takes them."""
        data = self.cleaned_data
        told = {unit: data[unit] or usual() for unit, usual, _ in MEASURES.values()}
        held = {
            name: None if data[name] is None else units.to_base(data[name], told[unit], base)
            for name, (unit, _, base) in MEASURES.items()
        }
        return {**told, **held}

    def odd(self, species: str, but: Skin | None = None) -> tuple[BoundField, str | None]:
        """The green weight, and what is to be asked of it."""
        unit = self.cleaned_data["weight_unit"] or measures.weight_unit()
        grams = self.measured()["green_weight"]
        return self["green_weight"], skins.odd_weight(species, grams, unit, but)

    @classmethod
    def written(cls, skin: Skin) -> dict[str, Any]:
        """The form's first content for a skin that is there."""
        known = {name: getattr(skin, name) for name in (*PLAIN, *MEASURES)}
        spoken = {unit for name, (unit, *_) in MEASURES.items() if known[name] is not None}
        for name, (unit, usual, base) in MEASURES.items():
            # What was never measured has no unit of its own yet.
            known[unit] = getattr(skin, unit) if unit in spoken else usual()
            known[name] = None if known[name] is None else units.from_base(known[name], known[unit], base)
        return {**known, "supplier": skin.supplier.name if skin.supplier else ""}


class NewSkinForm(SkinForm, Buys):
    legends = {**SkinForm.legends, "Where it came from": ("date_in", "supplier", "price", "tax_percent")}
    more = (*SkinForm.more, "original_sum", "original_currency")

    tag = halved(forms.CharField(max_length=20, help_text="As tied to the skin."))
    owner = forms.ChoiceField(choices=Skin.Owner.choices, initial=Skin.Owner.MINE, widget=forms.RadioSelect)
    date_in = DayField(label="Received on")
    price = MoneyBox(required=False, help_text="What you paid for it. A customer's skin has none.")
    how = HowField()
    place = place_field("Location")
    another = forms.BooleanField(required=False, label="Then add another like it")
