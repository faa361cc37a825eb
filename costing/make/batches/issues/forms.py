"""Forms of batches: the plan, its change, skins in and out, materials put in work and taken back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from costing.make.batches.stays.forms import SkinsField
from inventory.materials.forms import MeasureForm
from inventory.models import Skin
from inventory.web.forms import DayField, EntryForm, rows


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
