"""Forms of readings: what was measured or seen, with a photo."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from costing.make.readings import services as readings
from inventory import units
from inventory.errors import Refused
from inventory.skins.forms import FINE, WEIGHTS
from inventory.web.fields import UnitField
from inventory.web.forms import EntryForm, FigureField, MomentField


class PhotoField(forms.FileField):
    """A photo, from the camera or the album as the phone asks. Judged by its size here and by what is in it when it is kept."""

    def __init__(self, **options: Any) -> None:
        kinds = "image/jpeg,image/png,image/webp"
        options.setdefault("widget", forms.FileInput(attrs={"accept": kinds}))
        super().__init__(**options)

    def clean(self, data: Any, initial: Any = None) -> bytes | None:
        file = super().clean(data, initial)
        if not isinstance(file, UploadedFile):
            return None
        try:
            readings.refuse_large(file.size or 0)
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None
        return bytes(file.read())


class ReadingForm(EntryForm):
    """`moment()` is the time entered, else that of the tap. Without `weighed` there is no weight: a batch is not weighed."""

    tap = MomentField(required=False)
    ph = FigureField(label="pH", required=False)
    celsius = FigureField(label="Temperature", unit="°C", required=False)
    weight = FigureField(places=FINE, required=False, help_text="Of the skin as it is, for telling how it dries.")
    weight_unit = UnitField(label="Weighed in", of=[(name, units.label(name)) for name in WEIGHTS], required=False)
    note = forms.CharField(max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 3}))
    photo = PhotoField(required=False, help_text="Made small, and without the place it was taken at.")
    at = forms.DateTimeField(
        required=False,
        label="When, if not now",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )

    def __init__(self, *args: Any, weighed: bool = True, **options: Any) -> None:
        super().__init__(*args, **options)
        if not weighed:
            del self.fields["weight"], self.fields["weight_unit"]
        # A bath is read for its pH; a skin is on the scale.
        self.order_fields(["tap", "weight", "weight_unit"])

    def grams(self) -> Decimal | None:
        amount: Decimal | None = self.cleaned_data.get("weight")
        unit = self.cleaned_data.get("weight_unit") or WEIGHTS[0]
        return None if amount is None else units.to_base(amount, unit, "g")

    def moment(self) -> Any:
        return self.cleaned_data["at"] or self.cleaned_data["tap"]
