"""The form that names a frame for each skin that was laced."""

from collections.abc import Iterable
from typing import Any

from django import forms

from inventory.web.forms import DayField, EntryForm


class NamesForm(EntryForm):
    """A field for each skin by its tag: one of the frames, or none that is named."""

    def __init__(self, *args: Any, tags: Iterable[str], frames: Iterable[tuple[str, str]], **options: Any) -> None:
        super().__init__(*args, **options)
        choices = [("", "No frame named: the workshop's rate"), *frames]
        self.tags = tuple(tags)
        for tag in self.tags:
            self.fields[tag] = forms.ChoiceField(choices=choices, required=False, label=f"{tag} is on")

    def names(self) -> dict[str, str]:
        """The frame's number by the skin's tag; empty for none."""
        return {tag: self.cleaned_data[tag] for tag in self.tags}


class OffForm(EntryForm):
    on = DayField(label="Taken off on")
