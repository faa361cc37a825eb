"""Forms of moving in: pieces, skins, unpaid invoices, deposits, and where the numbers of papers go on."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from costing.make.finishing import selectors as finishing_read
from costing.models import Customer, Job, Payment, Series
from costing.sell.sales.numbering.rules import Series as Run
from costing.sell.sales.numbering.services import MOST_DIGITS
from inventory import units
from inventory.base import measures
from inventory.models import Method
from inventory.money import ZERO
from inventory.places.forms import place_field
from inventory.skins import selectors as skins
from inventory.skins.forms import grams, weight_unit_field
from inventory.web.fields import MoneyBox, Suggest, UnitField, areas, halved
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField

BEGAN = "The day your books begin here, or the day before."


class _Worked(EntryForm):
    """What a skin or a piece had cost when the books began."""

    on = DayField(label="As of", help_text=BEGAN)
    species = forms.CharField(max_length=60, widget=Suggest(skins.species))
    cost = MoneyBox(label="Money in it", min_value=0, help_text="Skin, materials and paid help; not your own hours.")
    hours = FigureField(
        label="Own hours in it", required=False, places=3, min_value=Decimal(0), max_value=Decimal(10_000)
    )

    def minutes(self) -> Decimal:
        return (self.cleaned_data["hours"] or ZERO) * units.MINUTES_PER_HOUR


class PieceForm(_Worked):
    more = ("area", "area_unit", "grade", "list_price", "place")
    number = halved(forms.CharField(max_length=20))
    kind = halved(forms.CharField(max_length=60, widget=Suggest(finishing_read.kinds), help_text="Rug, pouch, pelt."))
    method = forms.ChoiceField(choices=Method.choices, help_text="Decides the words of the care label.")
    area = FigureField(required=False)
    area_unit = UnitField(of=areas, initial=measures.area_unit, label="Measured in", required=False)
    grade = NoteField(longest=12)
    list_price = MoneyBox(required=False, label="List price")
    place = place_field("Location", empty_label="–")
    field_order = ("number", "kind", "species", "method", "on", "cost", "hours")

    def cm2(self) -> Decimal | None:
        area, unit = self.cleaned_data["area"], self.cleaned_data["area_unit"]
        return None if area is None else units.to_base(area, unit or measures.area_unit(), "cm2")


class SkinForm(_Worked):
    more = ("green_weight", "weight_unit", "place")
    tag = halved(forms.CharField(max_length=20))
    green_weight = FigureField(required=False, label="Weight on receipt")
    weight_unit = weight_unit_field()
    place = place_field("Location", empty_label="–")
    field_order = ("tag", "species", "on", "cost", "hours")

    def grams(self) -> Decimal | None:
        return grams(self.cleaned_data["green_weight"], self.cleaned_data["weight_unit"])


class DebtorForm(EntryForm):
    more = ("tax_percent", "note")
    number = halved(forms.CharField(max_length=20, label="Invoice number", help_text="As in your old books."))
    customer = halved(forms.CharField(max_length=80, help_text="Made when new."))
    on = DayField(label="Invoice date", initial=None)
    due_on = DayField(label="Due date", initial=None, required=False)
    amount = MoneyBox(label="Still to be paid")
    tax_percent = FigureField(label="Rate of the tax in it", unit="%", required=False)
    note = NoteField()

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        names = Customer.objects.order_by("name").values_list("name", flat=True)
        self.fields["customer"].widget = Suggest(lambda: list(names))


class DepositForm(EntryForm):
    job = forms.ModelChoiceField(
        Job.objects.none(), to_field_name="number", empty_label="choose", help_text="Take the job in first, under Jobs."
    )
    amount = MoneyBox(label="Deposit held")
    on = DayField(label="Received on", help_text="As in your old books, not before the job was taken.")
    how = forms.ChoiceField(choices=Payment.How.choices, label="How", initial="cash")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        open_ = Job.objects.filter(handed_over_on__isnull=True).select_related("customer").order_by("number")
        self.fields["job"].queryset = open_  # type: ignore[attr-defined]
        self.fields["job"].label_from_instance = lambda job: f"{job.number}, {job.customer}"  # type: ignore[attr-defined]


class NumbersForm(EntryForm):
    """The next number of each series, until its first paper."""

    def __init__(self, *args: Any, rows: Mapping[str, Series], **options: Any) -> None:
        super().__init__(*args, **options)
        for kind, row in rows.items():
            used = row.last >= row.first
            self.fields[f"{kind}_next"] = halved(
                forms.IntegerField(
                    min_value=1,
                    max_value=10**MOST_DIGITS - 1,
                    label=str(row.get_kind_display()),
                    initial=row.last + 1,
                    disabled=used,
                    help_text=f"Written {Run(row.prefix, row.digits).write(row.last + 1)}."
                    + (" Its first paper is issued." if used else ""),
                )
            )

    def counts(self) -> dict[str, int]:
        return {kind: self.cleaned_data[f"{kind}_next"] for kind in Series.Kind.values}
