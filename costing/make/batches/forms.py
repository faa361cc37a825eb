"""Forms of batches: the plan and its change; and what their list can be narrowed by."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet

from costing.make.batches.models import Batch
from costing.make.batches.requirements.selectors import ML_PER_LITRE
from costing.make.batches.stays.forms import SkinsField, none_free
from costing.make.recipes import selectors as recipes
from inventory.models import Place, Skin
from inventory.places.forms import place_field
from inventory.web.fields import BathField
from inventory.web.filters import Finder, one_of, search
from inventory.web.forms import DayField, EntryForm, NoteField, WholeField


class ChangeForm(EntryForm):
    start = DayField()
    litres = BathField("{} of bath", required=False)
    planned_skins = WholeField(
        "Number of skins in total", most=1000, empty=0, help_text="If some are still to come; empty: the skins ticked."
    )
    place = place_field("Tub, or other location", empty_label="–")
    frames = place_field(
        "Frames",
        among=Place.objects.filter(kind=Place.Kind.FRAME),
        empty_label="–",
        help_text="Where its skins are laced and dry: they take up as many as the frames hold.",
    )
    note = NoteField()


class PlanForm(ChangeForm):
    more = ("planned_skins", "litres_per_skin", "share_by", "frames", "note")
    number = forms.CharField(max_length=20)
    version = forms.ModelChoiceField(recipes.versions(), label="Recipe and version", empty_label="Choose one")
    start = DayField(help_text="Skins ticked below join on this day.")
    litres_per_skin = BathField(
        "Or {} a skin",
        required=False,
        help_text="Times the number of skins, when the bath is left empty. Empty: as the recipe says.",
    )
    share_by = forms.ChoiceField(
        choices=Batch.ShareBy.choices,
        label="Share costs",
        help_text="How each cost of the batch is allocated to the skins in it.",
    )

    def __init__(self, *args: Any, skins: Sequence[Skin], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["skins"] = SkinsField(skins, label="Skins", help_text=none_free(skins))
        self.order_fields(
            ["number", "version", "start", "skins", "planned_skins", "litres", "litres_per_skin", "share_by"]
        )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        each, heads = found.get("litres_per_skin"), found.get("planned_skins") or len(found.get("skins", []))
        if each is not None and not heads:
            self.add_error(
                "litres_per_skin", "A bath by the skin needs skins: tick some, or enter how many there will be."
            )
        if each is None and (version := found.get("version")) and version.litres_per_skin:
            each = version.litres_per_skin / ML_PER_LITRE
        if found.get("litres") is None and each is not None and heads:
            found["litres"] = each * heads
        return found


class BatchFinder(Finder):
    looks_in = ("number", "version__recipe__code", "place__name", "note")
    words = search("Number, recipe, place or skin")
    state = one_of(Batch.State.choices)

    def by_words(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        # Skins by a subquery: a join would spoil the counts of the list.
        holding = Batch.objects.filter(stays__skin__tag__iexact=value.strip()).values("pk")
        return super().by_words(rows, _name, value) | rows.filter(pk__in=holding)
