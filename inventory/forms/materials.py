"""Forms of the shelf: describe a material, say what was there at the start, weigh a cup, count, take out."""

from __future__ import annotations

from typing import Any, cast

from django import forms
from django.forms.boundfield import BoundField

from inventory import units
from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.measures import MoneyBox, Suggest, UnitField, fitting, unit_choices
from inventory.models import OUTWARD_REASONS, Kind, Material, Place
from inventory.selectors import stock, workshop
from inventory.substances import SUBSTANCES

Groups = list[tuple[str, list[BoundField]]]
MASS_AND_VOLUME = ("g", "mL")


def substance_choices() -> list[tuple[str, str]]:
    named = sorted(SUBSTANCES.values(), key=lambda substance: substance.name)
    return [("", "None of these, or a mixture"), *((each.slug, f"{each.name}, {each.formula}") for each in named)]


class MaterialForm(EntryForm):
    """What the jar holds and how it is bought. Code and first place are given once, see `NewMaterialForm`."""

    name = forms.CharField(max_length=80)
    unit = UnitField(label="Kept in", initial="kg", help_text="The unit you speak of it in, such as kg or L.")
    substance = forms.ChoiceField(
        choices=substance_choices,
        required=False,
        label="Exact substance",
        help_text="As the sack or its data sheet says. Alum is not alum, and soda is not soda.",
    )
    supplier = forms.CharField(
        max_length=80, required=False, widget=Suggest(stock.supplier_names), label="Usual supplier"
    )
    pack_quantity = FigureField(
        places=6, required=False, label="Usual pack", help_text="How much one pack holds, in the unit it is kept in."
    )
    lead_days = forms.IntegerField(min_value=0, max_value=3650, required=False, label="Days a delivery takes")
    safety_days = forms.IntegerField(
        min_value=0, max_value=3650, required=False, label="Days to spare", help_text="Ordered this much earlier."
    )
    shelf_life_days = forms.IntegerField(min_value=1, max_value=3650, required=False, label="Days it keeps")
    hazard_note = forms.CharField(
        max_length=200,
        required=False,
        label="Caution",
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What the supplier's data sheet asks for: gloves, eyes, dust.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        own = self.get_initial_for_field(self.fields["unit"], "unit")
        if own and own not in units.known():
            unit_field(self).choices = [(own, units.label(own)), *unit_choices()]

    @property
    def groups(self) -> Groups:
        what = [self[name] for name in ("code", "name", "unit", "substance", "place") if name in self.fields]
        buying = ("supplier", "pack_quantity", "lead_days", "safety_days", "shelf_life_days")
        return [
            ("What it is", what),
            ("How it is bought", [self[name] for name in buying]),
            ("Care", [self["hazard_note"]]),
        ]

    @classmethod
    def told(cls, material: Material) -> dict[str, Any]:
        """The form's first content for a material that is there."""
        pack = material.pack_quantity
        return {
            "name": material.name,
            "unit": material.unit,
            "substance": material.substance,
            "supplier": material.supplier.name if material.supplier else "",
            "pack_quantity": None if pack is None else units.from_base(pack, material.unit),
            "lead_days": material.lead_days,
            "safety_days": material.safety_days,
            "shelf_life_days": material.shelf_life_days,
            "hazard_note": material.hazard_note,
        }

    def clean_hazard_note(self) -> str:
        return " ".join(self.cleaned_data["hazard_note"].split())


class NewMaterialForm(MaterialForm):
    code = forms.CharField(
        max_length=20, help_text="Short, for labels and lists: ALUMK, SALT. It stays as it is written now."
    )
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="Not said", label="Where it is")


class OpeningForm(EntryForm):
    """What was on the shelf when the books began."""

    on = DayField(label="Day", initial=workshop.today)
    quantity = FigureField(label="On the shelf")
    unit = UnitField()
    value = MoneyBox(label="What it cost", help_text="All of it together, carriage included.")

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        _measured_by(self, material)


class WeighForm(EntryForm):
    """One levelled measure and what is in it."""

    measure = FigureField(label="How many, filled level", initial=1)
    unit = UnitField(label="Of which measure", of=unit_choices("mL"), initial="us_cup")
    grams = FigureField(label="Weight of the contents", unit="g", help_text="Without the cup.")


class CountForm(EntryForm):
    """What is really there; the books' figure is not shown, so that the eye is not led."""

    on = DayField(label="Day", initial=workshop.today)
    counted = FigureField(label="Counted", help_text="Weigh or count first, then type. Nothing there is 0.")
    unit = UnitField()
    reason = forms.CharField(max_length=200, required=False, label="Remark")

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        _measured_by(self, material)


class StockOutForm(EntryForm):
    """Goods that leave the shelf for no piece."""

    kind = forms.ChoiceField(
        label="Why", widget=forms.RadioSelect, choices=[(kind.value, kind.label) for kind in OUTWARD_REASONS]
    )
    quantity = FigureField(label="How much")
    unit = UnitField()
    on = DayField(label="Day", initial=workshop.today)
    reason = forms.CharField(
        max_length=200,
        required=False,
        label="Reason",
        help_text="What spoiled it, to whom it was given, what it was for.",
    )

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        _measured_by(self, material)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("kind") not in (None, "", Kind.SOLD) and not found.get("reason") and "reason" not in self.errors:
            self.add_error("reason", "Say why: your books may be asked.")
        return found


class TakeBackForm(EntryForm):
    reason = forms.CharField(max_length=200, label="Why it is taken back")
    on = DayField(
        required=False,
        label="Day of the correction",
        help_text="Left empty, the day of the entry itself. Needed only when that day's books are closed.",
    )


def _measured_by(form: forms.Form, material: Material) -> None:
    unit = unit_field(form)
    unit.choices = fitting(material)
    unit.initial = material.unit


def unit_field(form: forms.Form) -> forms.ChoiceField:
    return cast("forms.ChoiceField", form.fields["unit"])
