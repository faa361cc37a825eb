"""Forms of materials: a row of one with its measure tried at once, what a jar holds, what comes to its stock or leaves it."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, cast

from django import forms

from inventory import formats, units
from inventory.base import measures, selectors as workshop
from inventory.errors import Refused
from inventory.ledger.models import OUTWARD_REASONS, Kind
from inventory.materials import breaks
from inventory.materials.models import Material
from inventory.materials.services import to_base
from inventory.places.forms import place_field
from inventory.places.models import Place
from inventory.substances import SUBSTANCES
from inventory.suppliers import selectors as suppliers
from inventory.web.fields import Choices, MoneyBox, Suggest, UnitField, halved, labelled, unit_choices
from inventory.web.filters import Finder, record_of, search
from inventory.web.forms import DayField, EntryForm, FigureField, GroupedForm, NoteField, WholeField


class MaterialField(forms.ChoiceField):
    """One of the materials handed in: a set of rows reads the shelf once, not once a row. Cleans to the material, or None."""

    def __init__(
        self, materials: Sequence[Material] = (), *, required: bool = False, empty: str = "–", **options: Any
    ) -> None:
        self.known = {str(material.pk): material for material in materials}
        # The unit beside the name, so that a bare amount is not taken for another.
        named = [(pk, f"{row.name} ({units.label(row.unit)})") for pk, row in self.known.items()]
        super().__init__(choices=[("", empty), *named], required=required, **options)

    def prepare_value(self, value: object) -> object:
        return str(value.pk) if isinstance(value, Material) else value

    def clean(self, value: object) -> Material | None:
        return self.known.get(super().clean(value))


class MeasureForm(forms.Form):
    """A row of a material and its amount. It may stay empty; begun, it must be whole, and the measure must fit."""

    material = MaterialField()
    amount = FigureField(required=False)
    unit = UnitField(own="own unit", required=False)
    needed: dict[str, str] = {
        "material": "Choose the material, or empty the row.",
        "amount": "Enter how much, or empty the row.",
    }

    def __init__(self, *args: Any, materials: Sequence[Material] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["material"] = MaterialField(materials)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.has_changed():
            return found
        for name, ask in self.needed.items():
            if name not in self.errors and not found.get(name):
                self.add_error(name, ask)
        if not self.errors and self.by_measure(found):
            check_measure(self, found["material"], found["amount"], found["unit"])
        return found

    def by_measure(self, found: dict[str, Any]) -> bool:
        """Whether the amount is a measure of the material itself."""
        return True


def check_measure(form: forms.Form, material: Material, amount: Decimal, unit: str) -> None:
    """Try the measure on the material now, so that a refusal stands beside its own row."""
    try:
        amount_base = to_base(material, amount, unit or material.unit)
    except Refused as refusal:
        form.add_error("unit" if refusal.field == "unit" else "amount", str(refusal))
        return
    if amount_base <= 0:
        form.add_error(
            "amount", f"It must be more than nothing, and at least the least amount kept; {amount} was given."
        )


def fitting(material: Material) -> Choices:
    """The units this material can be measured in: what measures the same, and mass or volume once its density is known."""
    kind = units.metric_of(material.base)
    if kind in ("g", "mL") and material.density_g_per_ml is not None:
        return unit_choices("g", "mL")
    choices = unit_choices(kind)
    named = [name for name, _ in choices]
    # A unit outside the usual list (a tonne) may be the material's own.
    return choices if material.unit in named else [(material.unit, units.label(material.unit)), *choices]


def typed(amount: Decimal, unit: str) -> str:
    """The measure as it was typed, to be kept beside the converted one.

    >>> typed(Decimal("2.500"), "us_cup")
    '2.5 us_cup'
    """
    return f"{amount.normalize():f} {unit}"


MOST_DAYS = 3650


def substance_choices() -> list[tuple[str, str]]:
    named = sorted(SUBSTANCES.values(), key=lambda substance: substance.name)
    return [("", "None of these, or a mixture"), *((each.slug, f"{each.name}, {each.formula}") for each in named)]


class PriceBreaksField(NoteField):
    """Price breaks as the workshop writes figures; cleans to the text that is kept."""

    def __init__(self) -> None:
        super().__init__(
            "Price breaks",
            longest=breaks.LONGEST,
            help_text="From how many packs on one costs how much: 5 6.20; 10 5.80 is 6.20 a pack from 5, 5.80 from 10.",
        )

    def clean(self, value: object) -> str:
        places = workshop.places()
        try:
            return breaks.written(breaks.parse(super().clean(value), places, formats.current()), places)
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None


class MaterialForm(GroupedForm):
    """What the jar holds and how it is bought. Code and first place are given once, see `NewMaterialForm`."""

    legends = {
        "What it is": ("code", "name", "unit", "substance", "place"),
        "How it is bought": (
            *("supplier", "pack_quantity", "min_order", "price_breaks", "breaks_on"),
            *("lead_days", "safety_days", "shelf_life_days"),
        ),
        "Care": ("hazard_note", "sheet", "sheet_on"),
    }
    more = (
        *("min_order", "price_breaks", "breaks_on"),
        *("safety_days", "shelf_life_days", "hazard_note", "sheet", "sheet_on", "place"),
    )
    name = forms.CharField(max_length=80)
    unit = UnitField(
        label="Unit", initial=measures.weight_unit, help_text="The one you speak of it in, such as kg or L."
    )
    substance = forms.ChoiceField(
        choices=substance_choices,
        required=False,
        label="Exact substance",
        help_text="As the sack or its safety data sheet says. Alum is not alum, and soda is not soda.",
    )
    supplier = NoteField("Usual supplier", longest=80, widget=Suggest(suppliers.supplier_names))
    pack_quantity = FigureField(
        places=6, required=False, label="Usual pack", help_text="How much one pack holds, in the material's unit."
    )
    min_order = FigureField(
        places=6, required=False, label="Minimum order", help_text="The least they send, in the material's unit."
    )
    price_breaks = PriceBreaksField()
    breaks_on = forms.ChoiceField(
        choices=Material.BreaksOn.choices,
        required=False,
        label="A break holds for",
        help_text="Which packs of the order cost less.",
    )
    lead_days = WholeField("Lead time, days", most=MOST_DAYS, empty=0, help_text="From the order to the delivery.")
    safety_days = WholeField("Safety days", most=MOST_DAYS, empty=0, help_text="Ordered this much earlier.")
    shelf_life_days = WholeField("Shelf life, days", least=1, most=MOST_DAYS, required=False)
    hazard_note = NoteField(
        "Caution",
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What the supplier's safety data sheet asks for: gloves, eyes, dust.",
    )

    sheet = NoteField(
        "Safety data sheet you have read",
        longest=120,
        help_text="Whose it is and where it lies. Labels then say by whose words they warn; without one they say “from memory”.",
    )
    sheet_on = DayField(label="Date of that sheet", required=False, initial=None, help_text="As printed on it.")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        own = self.get_initial_for_field(self.fields["unit"], "unit")
        if own and own not in units.KNOWN:
            unit_field(self).choices = [(own, units.label(own)), *unit_choices()]

    def clean_breaks_on(self) -> str:
        return self.cleaned_data["breaks_on"] or Material.BreaksOn.ALL

    def clean_hazard_note(self) -> str:
        return " ".join(self.cleaned_data["hazard_note"].split())


class NewMaterialForm(MaterialForm):
    code = forms.CharField(
        max_length=20, help_text="Short, for labels and lists: ALUMK, SALT. It stays as it is written now."
    )
    place = place_field("Location")


class WeighForm(EntryForm):
    """One levelled measure and what is in it."""

    measure = FigureField(label="Number of measures, filled level", initial=1)
    unit = UnitField(label="Of which measure", of=unit_choices("mL"), initial="us_cup")
    grams = halved(FigureField(label="Weight of the contents", help_text="Without the cup."))
    scale = UnitField(label="Weighed in", of=labelled("g", "oz"), required=False)


class MeasuredForm(EntryForm):
    """An entry of an amount of one material, in a unit that it can be measured in."""

    unit = UnitField()

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        unit = unit_field(self)
        unit.choices = fitting(material)
        unit.initial = material.unit


class ShelfFinder(Finder):
    looks_in = ("name", "code", "substance")
    words = search("Name or code")
    place = record_of(Place, empty_label="Anywhere")


class OpeningForm(MeasuredForm):
    """Opening stock: what was on the shelf when the books began."""

    on = DayField(label="Day")
    quantity = FigureField(label="On the shelf")
    value = MoneyBox(label="What it cost", help_text="All of it together, carriage included.")
    field_order = ("on", "quantity", "unit", "value")


class CountForm(MeasuredForm):
    """What is really there; the books' figure is not shown, so that the eye is not led."""

    on = DayField(label="Day")
    counted = FigureField(label="Counted", help_text="Weigh or count first, then type. Nothing there is 0.")
    reason = NoteField("Remark")
    field_order = ("on", "counted", "unit", "reason")


class StockOutForm(MeasuredForm):
    """Goods that leave the shelf for no piece."""

    kind = forms.TypedChoiceField(
        label="Why",
        widget=forms.RadioSelect,
        coerce=Kind,
        choices=[(kind.value, kind.label) for kind in OUTWARD_REASONS],
    )
    quantity = FigureField(label="How much")
    on = DayField(label="Day")
    reason = NoteField("Reason", help_text="What spoiled it, to whom it was given, what it was for.")
    field_order = ("kind", "quantity", "unit", "on", "reason")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("kind") not in (None, "", Kind.SOLD) and not found.get("reason") and "reason" not in self.errors:
            self.add_error("reason", "Say why: your books may be asked.")
        return found


def unit_field(form: forms.Form) -> forms.ChoiceField:
    return cast("forms.ChoiceField", form.fields["unit"])
