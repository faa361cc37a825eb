"""Forms of readings: what was measured or seen, with a photo."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from inventory.base import pictures
from inventory.errors import Refused
from inventory.skins import forms as skin_forms
from inventory.web.fields import DegreesField
from inventory.web.forms import EntryForm, FigureField, MomentField, rows


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
            pictures.refuse_large(file.size or 0)
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None
        return bytes(file.read())


class ReadingForm(EntryForm):
    """The time is the one entered, else that of the tap. Without `weighed` there is no weight: a batch is not weighed."""

    tap = MomentField(required=False)
    ph = FigureField(label="pH", required=False)
    celsius = DegreesField(label="Temperature", required=False)
    weight = FigureField(places=skin_forms.FINE, required=False, help_text="Of the skin as it is, to see how it dries.")
    weight_unit = skin_forms.weight_unit_field()
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

    def measured(self) -> dict[str, Any]:
        """What the service takes of it."""
        found = dict(self.cleaned_data)
        found["at"] = found["at"] or found.pop("tap")
        found.pop("tap", None)
        weight, unit = found.pop("weight", None), found.pop("weight_unit", "")
        return {**found, "weight": skin_forms.grams(weight, unit)}


class SheetForm(EntryForm):
    """The head of the sheet on which the skins of a batch are weighed."""

    tap = MomentField(required=False)
    weight_unit = skin_forms.weight_unit_field()


class SheetRow(forms.Form):
    """One skin. `known`: by its tag, what is said beside the box. One that is left empty was not weighed."""

    tag = forms.CharField(max_length=20, widget=forms.HiddenInput)
    weight = FigureField(places=skin_forms.FINE, required=False)

    def __init__(self, *args: Any, known: Mapping[str, str], **options: Any) -> None:
        super().__init__(*args, **options)
        tag = str(self["tag"].value() or "")
        self.fields["weight"].label, self.fields["weight"].help_text = tag, known.get(tag, "")

    def has_changed(self) -> bool:
        return "weight" in self.changed_data


SheetRows = rows(SheetRow, empty=0, most=300)
