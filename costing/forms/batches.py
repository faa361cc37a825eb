"""Forms of batches: the plan, its change, skins in and out, materials put in work and taken back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms

from costing.forms.measures import MeasureForm
from costing.models import Batch
from costing.selectors import recipes
from costing.selectors.batches import ML_PER_LITRE
from inventory import units
from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.rows import rows
from inventory.models import Place, Skin


class SkinsField(forms.MultipleChoiceField):
    """Skins to tick, each with what tells it apart. Cleans to their tags.

    Which skins may be named is the service's to judge: a form sent twice names skins that its first sending took.
    """

    def __init__(self, skins: Iterable[Skin] = (), *, needed: bool = False, **options: Any) -> None:
        options.setdefault("widget", forms.CheckboxSelectMultiple)
        super().__init__(
            choices=[(skin.tag, told_apart(skin)) for skin in skins],
            required=needed,
            error_messages={"required": "No skin was chosen. Tick at least one."},
            **options,
        )

    def valid_value(self, value: str) -> bool:
        return True


def told_apart(skin: Skin) -> str:
    weight = f", {units.show(skin.green_weight, 'kg')} green" if skin.green_weight else ""
    theirs = f", {skin.customer or 'a customer'}'s own" if skin.owner == Skin.Owner.CUSTOMER else ""
    return f"{skin.tag}: {skin.species}{weight}{theirs}"


class PlanForm(EntryForm):
    number = forms.CharField(max_length=20)
    version = forms.ModelChoiceField(recipes.versions(), label="Recipe and version", empty_label="Choose one")
    start = DayField(help_text="Skins ticked below join on this day.")
    litres = FigureField(label="Litres of bath", unit="L", required=False)
    litres_per_skin = FigureField(
        label="Or litres a skin",
        unit="L",
        required=False,
        help_text="Times the number of skins, when the litres are left empty. Empty: as the recipe says.",
    )
    planned_skins = forms.IntegerField(
        label="How many skins in all",
        required=False,
        min_value=0,
        max_value=1000,
        help_text="If some are still to come; empty: the skins ticked.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    share_by = forms.ChoiceField(
        choices=Batch.ShareBy.choices, label="Share costs", help_text="How the skins in it bear each cost of the batch."
    )
    place = forms.ModelChoiceField(
        Place.objects.all(), required=False, empty_label="–", label="Tub, or where it stands"
    )
    frames = forms.ModelChoiceField(
        Place.objects.filter(kind=Place.Kind.FRAME),
        required=False,
        empty_label="–",
        label="Frames",
        help_text="Where its skins are laced and dry: they take up as many as the frames hold.",
    )
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, skins: Sequence[Skin], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["skins"] = SkinsField(skins, label="Skins", help_text=none_free(skins))
        self.order_fields(["number", "version", "start", "skins", "planned_skins"])

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        each, heads = found.get("litres_per_skin"), found.get("planned_skins") or len(found.get("skins", []))
        if each is not None and not heads:
            self.add_error("litres_per_skin", "Litres a skin need skins: tick some, or enter how many there will be.")
        if each is None and (version := found.get("version")) and version.litres_per_skin:
            each = version.litres_per_skin / ML_PER_LITRE
        if found.get("litres") is None and each is not None and heads:
            found["litres"] = each * heads
        return found


class ChangeForm(EntryForm):
    start = DayField()
    litres = PlanForm.base_fields["litres"]
    planned_skins = PlanForm.base_fields["planned_skins"]
    place = PlanForm.base_fields["place"]
    frames = PlanForm.base_fields["frames"]
    note = PlanForm.base_fields["note"]


class JoinForm(EntryForm):
    on = DayField(label="Joined on", help_text="They share every cost of the batch from this day.")

    def __init__(self, *args: Any, skins: Sequence[Skin], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["skins"] = SkinsField(skins, needed=True, label="Skins", help_text=none_free(skins))


class LeaveForm(EntryForm):
    on = DayField(label="Taken out on", help_text="Costs of this day still count, later ones do not.")


class SureForm(EntryForm):
    """Nothing to fill in: only to be sure."""


class WorkForm(EntryForm):
    """With `needed` the skins must be named; otherwise none ticked means all in the batch that day."""

    on = DayField(label="Put in on")
    reason = forms.CharField(max_length=200, required=False, label="Note")

    def __init__(self, *args: Any, skins: Sequence[Skin], needed: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        if needed:
            self.fields["skins"] = SkinsField(skins, needed=True, label="On these skins")
        elif skins:
            said = "None ticked: shared among the skins in the batch that day."
            self.fields["skins"] = SkinsField(skins, label="Only for these skins", help_text=said)


FreeRows = rows(MeasureForm)


class TakeBackForm(EntryForm):
    reason = forms.CharField(max_length=200, help_text="Stays in the books beside the entry it takes back.")
    on = DayField(label="On", help_text="The day of the entry, unless the books are closed to it.")


def none_free(skins: Sequence[Skin]) -> str:
    return "" if skins else "No skin is free now: take one in, or take one out of its batch first."
