"""Forms of labour: minutes at a task, and taking them back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from costing.forms.batches import SkinsField
from costing.models import Batch
from costing.selectors import labour
from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.measures import MoneyBox, Suggest
from inventory.models import Skin


class LabourForm(EntryForm):
    on = DayField(label="Day")
    task = forms.CharField(max_length=80, widget=Suggest(labour.tasks), help_text="One from before, or a new one.")
    minutes = FigureField(label="Minutes", unit="min")
    batch = forms.ModelChoiceField(Batch.objects.none(), required=False, empty_label="No batch: only the skins ticked")
    who = forms.CharField(max_length=80, required=False, widget=Suggest(labour.people), help_text="Empty: yourself.")
    paid = MoneyBox(
        required=False, help_text="Money given for it makes it book cost. Your own time is never book cost."
    )
    laced = forms.BooleanField(
        required=False,
        label="Skins were laced to frames",
        help_text="Counts the wear of a frame for each skin. A task named lacing counts by itself.",
    )

    def __init__(self, *args: Any, skins: Sequence[Skin], batches: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["batch"] = forms.ModelChoiceField(
            batches, required=False, to_field_name="number", empty_label="No batch: only the skins ticked"
        )
        self.fields["skins"] = SkinsField(
            skins, label="Only on these skins", help_text="None ticked: shared among the skins in the batch that day."
        )
        self.order_fields(["on", "task", "minutes", "batch", "skins"])


class LabourTakeBackForm(EntryForm):
    on = DayField(label="On", help_text="The day of the line, unless the books are closed to it.")
