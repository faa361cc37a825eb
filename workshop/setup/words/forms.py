"""What a list of phrases can be narrowed by, and the box for one phrase."""

from collections.abc import Iterable
from typing import Any

from django import forms

from inventory.web.forms import EntryForm
from workshop.documents.words.editing import Entry, Section

CHANGED, MISSING = "changed", "missing"


class PhraseFinder(forms.Form):
    """`sections`: the papers to choose from."""

    words = forms.CharField(
        label="In the phrase or its English", max_length=80, required=False, widget=forms.TextInput({"type": "search"})
    )
    paper = forms.ChoiceField(required=False)
    show = forms.ChoiceField(
        required=False, choices=[("", "All"), (CHANGED, "What I changed"), (MISSING, "Still in English")]
    )

    def __init__(self, *given: Any, sections: Iterable[Section], english: bool, **options: Any) -> None:
        super().__init__(*given, **options)
        self.fields["paper"].choices = [("", "All"), *((each.name, each.title) for each in sections)]  # type: ignore[attr-defined]
        if english:
            self.fields["show"].choices = self.fields["show"].choices[:-1]  # type: ignore[attr-defined]


class PhraseForm(EntryForm):
    """How long a phrase may be and what must stand in it is judged beside the phrases."""

    text = forms.CharField(label="Your words", required=False)

    def __init__(self, *given: Any, entry: Entry, **options: Any) -> None:
        super().__init__(*given, **options)
        box = self.fields["text"]
        if entry.several:
            box.widget = forms.Textarea(attrs={"rows": 5})
        empty = "nothing is printed" if entry.mine else "what came with the program"
        asked = f"The program fills in {', '.join(entry.places)}: keep each, in its braces. " if entry.places else ""
        box.help_text = f"{asked}At most {entry.longest} characters. Empty: {empty}."
