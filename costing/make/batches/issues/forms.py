"""Forms of materials issued to a batch or a skin."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet

from costing.make.batches.models import Batch
from costing.make.batches.stays.forms import SkinsField
from inventory.materials.forms import MeasureForm
from inventory.models import Skin
from inventory.web.forms import DayField, EntryForm, NoteField, rows


class IssueForm(EntryForm):
    """With `needed` the skins must be named; otherwise none ticked means all in the batch that day."""

    on = DayField(label="Added on")
    reason = NoteField("Note")

    def __init__(self, *args: Any, skins: Sequence[Skin], needed: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        if needed:
            self.fields["skins"] = SkinsField(skins, needed=True, label="On these skins")
        elif skins:
            note = "None ticked: shared among the skins in the batch that day."
            self.fields["skins"] = SkinsField(skins, label="Only for these skins", help_text=note)
        if len(skins) > 1:
            usual = "In equal parts" if needed else "As the batch shares its costs"
            self.fields["share_by"] = forms.ChoiceField(
                choices=[("", usual), *Batch.ShareBy.choices[needed:]],
                required=False,
                label="Share this entry",
                help_text="Salt goes by weight: a heavy hide takes more of it.",
            )


class CorrectForm(IssueForm):
    """What is true instead, and what was wrong."""

    reason = NoteField("Note on the new entry")
    wrong = forms.CharField(
        max_length=200, label="What was wrong", help_text="Stays in the books beside the old entry."
    )

    def __init__(self, *args: Any, batches: QuerySet[Batch], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["batch"] = forms.ModelChoiceField(
            batches, required=False, to_field_name="number", empty_label="No batch: only the skins ticked"
        )
        self.fields["on"].label = "Went in on"
        self.order_fields(["batch", "on", "wrong", "reason", "skins"])


FreeRows = rows(MeasureForm)
CorrectRows = rows(MeasureForm, empty=1)
