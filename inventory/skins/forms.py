"""What the lists of the ground floor can be narrowed by: words, and one or two choices."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import django_filters
from django import forms

from inventory import units
from inventory.base import selectors as workshop
from inventory.places.models import Place
from inventory.skins import selectors as skins
from inventory.skins.models import Skin
from inventory.suppliers import selectors as suppliers
from inventory.web.fields import Groups, MoneyBox, Suggest, UnitField
from inventory.web.forms import DayField, EntryForm, FigureField, Finder, words


class SkinFinder(Finder):
    looks_in = ("tag", "species", "sex_age", "customer", "supplier__name")
    words = words("Tag, species or name")
    stage = django_filters.ChoiceFilter(choices=Skin.Stage.choices, empty_label="Any")
    owner = django_filters.ChoiceFilter(choices=Skin.Owner.choices, empty_label="Anybody's", label="Whose")


WEIGHTS = ("kg", "lb", "g")
AREAS = ("dm2", "sq_ft", "cm2")
FINE = 6  # what is kept to a thousandth of a gram must be shown and sent back whole when it is spoken of in kilograms


def _labelled(names: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(name, units.label(name)) for name in names]


class SkinForm(EntryForm):
    """What may be said better later; where it is is said by a move. `measured` gives weight in grams and areas in cm2."""

    species = forms.CharField(max_length=60, widget=Suggest(skins.species), help_text="Sheep, reindeer, rabbit.")
    sex_age = forms.CharField(max_length=40, required=False, label="Sex and age", help_text="Ram, cow, yearling.")
    customer = forms.CharField(max_length=80, required=False, help_text="Whose it is, if it is not yours.")
    supplier = forms.CharField(max_length=80, required=False, widget=Suggest(suppliers.supplier_names), label="From")
    source = forms.CharField(
        max_length=200,
        required=False,
        label="How it was got",
        help_text="Slaughter, hunt, licence or consignment number.",
    )
    defects = forms.CharField(max_length=300, required=False, help_text="Holes, scars, bald spots, slipping hair.")
    green_weight = FigureField(places=FINE, required=False, help_text="Fresh, before salting.")
    weight_unit = UnitField(label="Weighed in", of=_labelled(WEIGHTS), required=False)
    wet_area = FigureField(places=FINE, required=False, label="Area, wet")
    dry_area = FigureField(places=FINE, required=False, label="Area, dry", help_text="As finished.")
    area_unit = UnitField(label="Areas measured in", of=_labelled(AREAS), required=False)

    first: tuple[str, ...] = ("species", "sex_age", "customer")
    came: tuple[str, ...] = ("supplier", "source")
    last: tuple[str, ...] = ()

    @property
    def groups(self) -> Groups:
        sizes = ("green_weight", "weight_unit", "wet_area", "dry_area", "area_unit", "defects")
        return [
            ("The skin", [self[name] for name in self.first]),
            ("Where it came from", [self[name] for name in self.came]),
            ("Size and state", [self[name] for name in (*sizes, *self.last)]),
        ]

    def measured(self) -> dict[str, Decimal | None]:
        """The measures in base units, as the service takes them."""
        data = self.cleaned_data
        weight_unit, area_unit = data["weight_unit"] or WEIGHTS[0], data["area_unit"] or AREAS[0]
        return {
            "green_weight": _based(data["green_weight"], weight_unit, "g"),
            "wet_area": _based(data["wet_area"], area_unit, "cm2"),
            "dry_area": _based(data["dry_area"], area_unit, "cm2"),
        }

    @classmethod
    def told(cls, skin: Skin) -> dict[str, Any]:
        """The form's first content for a skin that is there."""
        plain = ("species", "sex_age", "customer", "source", "defects")
        return {
            **{name: getattr(skin, name) for name in plain},
            "supplier": skin.supplier.name if skin.supplier else "",
            "green_weight": _typed(skin.green_weight, WEIGHTS[0]),
            "wet_area": _typed(skin.wet_area, AREAS[0]),
            "dry_area": _typed(skin.dry_area, AREAS[0]),
        }


class NewSkinForm(SkinForm):
    tag = forms.CharField(max_length=20, help_text="What is tied to the skin. Nobody else may have it.")
    owner = forms.ChoiceField(
        choices=Skin.Owner.choices, initial=Skin.Owner.MINE, widget=forms.RadioSelect, label="Whose skin"
    )
    date_in = DayField(label="Came on", initial=workshop.today)
    price = MoneyBox(required=False, help_text="What you paid for it. A customer's skin has none.")
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="Not said", label="Where it is")
    another = forms.BooleanField(required=False, label="Then take in another like it")

    first = ("tag", "species", "sex_age", "owner", "customer")
    came = ("date_in", "supplier", "price", "source")
    last = ("place",)


def _based(amount: Decimal | None, unit: str, base: str) -> Decimal | None:
    return None if amount is None else units.to_base(amount, unit, base)


def _typed(amount: Decimal | None, unit: str) -> Decimal | None:
    return None if amount is None else units.from_base(amount, unit)
