"""What a run of labels is asked for by, as the page and the address of the PDF read it. Reads no thing and draws nothing."""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django import forms
from django.http import QueryDict

from inventory import formats
from inventory.base import selectors as workshop
from inventory.base.labels import rules
from inventory.base.labels.rules import Sheet
from inventory.base.languages import NAMES
from inventory.base.models import Measures
from inventory.errors import Refused
from inventory.web.fields import BathField
from inventory.web.forms import WholeField

MOST_COPIES = 3000
MOST_NAMES = 200  # things: what a page can show, and an address can hold; the command takes more
LONGEST = 60  # of a name
OWN = "own"
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
# Fields of a refusal about the geometry of a sheet that was typed.
_OF_SHEET = {"sheet", "paper", "columns", "rows", "width", "height"}
_NAMING = {"name", "also", "words", "batch"}


class Names(forms.MultipleHiddenInput):
    """Ticks that the page writes itself, each under the same name."""


class NamesField(forms.Field):
    """Names of things, each once, in the order in which they are chosen."""

    widget = Names

    def clean(self, value: Any) -> list[str]:
        return checked(value or [])


class PrintForm(forms.Form):
    """`languages`: how many the label can be printed in; `sheets`: those to choose from; `jar`: it is asked what it holds.

    A start holds for the sheet that it was chosen on: the page sends the sheet along, and on another it is 1 again.
    """

    name = NamesField(label="What to print", required=False)
    also = forms.CharField(
        label="By name",
        required=False,
        max_length=2000,
        help_text="Several with commas between.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    words = forms.CharField(
        label="Search", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"})
    )
    batch = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)
    sheet = forms.ChoiceField(label="Print on", required=False)
    other = forms.CharField(
        label="Or another sheet", required=False, max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    start = WholeField(
        "Begin at place",
        least=1,
        most=rules.MOST_ACROSS**2,
        empty=1,
        help_text="The first free label of the sheet.",
        error_messages={
            "min_value": "Places are counted from 1. Begin at 1 or later.",
            "max_value": "No sheet has more than %(limit_value)s places. Begin earlier.",
        },
    )
    copies = WholeField(
        "Copies of each",
        least=1,
        most=MOST_COPIES,
        empty=1,
        error_messages={
            "min_value": "Print 1 copy or more.",
            "max_value": "A run has %(limit_value)s labels at most. Print fewer copies.",
        },
    )

    def __init__(self, given: QueryDict, *, languages: int, sheets: Sequence[tuple[str, Sheet]], jar: bool) -> None:
        choices = [*_papers(), ("Sheets of labels", [(name, name) for name, _ in sheets])]
        data = given.copy()
        known = {str(key) for key, _ in _flat(choices)}
        if (typed := data.get("sheet", "")) not in known:
            data["sheet"], data["other"] = "", data.get("other") or typed
        wanted = data.get("other", "").strip() or data.get("sheet", "")
        if data.get("start_on", wanted) != wanted:
            data["start"] = ""
        data.setdefault("copies", "1")
        super().__init__(data)
        self.wanted = wanted
        roll = "57x32mm" if workshop.current().units == Measures.METRIC else "2.25x1.25in"
        said = f"Goes before the choice above. 3x7: your paper in 3 columns and 7 rows. {roll}: a roll."
        self.fields["other"].help_text = said
        self.fields["sheet"].choices = choices  # type: ignore[attr-defined]
        home = NAMES[workshop.current().paper_language]
        if languages:
            self.fields["language"] = _language("Language", f"As all papers: {home}")
        if languages > 1:
            self.fields["second"] = _language("Second language", "None")
        if jar:
            self.fields["litres"] = BathField("{} in the jar", required=False, help_text="Empty: 1 L.")

    def clean_also(self) -> list[str]:
        return checked(re.split(r"[,;]", self.cleaned_data["also"]))

    def clean(self) -> dict[str, Any]:
        found = self.cleaned_data
        first, second = found.get("language", ""), found.get("second", "")
        if second and second == (first or workshop.current().paper_language):
            self.add_error("second", "That is the first language already. Choose another, or none.")
        return found

    @property
    def spoken(self) -> list[str]:
        """The language asked for, and the second."""
        first, second = self.cleaned_data.get("language", ""), self.cleaned_data.get("second", "")
        return [first or workshop.current().paper_language, second] if second else [first] if first else []

    def point(self, refusal: Refused) -> None:
        """Put a refusal beside the field it names; one about a record beside what is to be printed."""
        field = refusal.field or ""
        if field in _OF_SHEET:
            field = "other" if self["other"].value() else "sheet"
        named = field in self.fields and field not in _NAMING
        self.add_error(field if named else "name", formats.dated(str(refusal)))


def checked(names: Iterable[str]) -> list[str]:
    """Names as they can be looked up, each once; refused where one cannot be a name, or they are too many."""
    found = list(dict.fromkeys(name.strip() for name in names if name.strip()))
    for name in found:
        if len(name) > LONGEST or _CONTROL.search(name):
            shown = _CONTROL.sub("", name)[:20]
            raise forms.ValidationError(
                f"“{shown}…” is no name: it is too long, or has a character that cannot be seen. Type it anew."
            )
    if len(found) > MOST_NAMES:
        raise forms.ValidationError(
            f"{len(found)} things were chosen, and this page prints {MOST_NAMES} at once. Print them in parts, or by the "
            "command label."
        )
    return found


def _papers() -> list[tuple[str, str]]:
    own = workshop.current().paper
    titles = {"a4": "A4", "letter": "Letter"}
    others = [(name, f"{title} paper, to cut apart") for name, title in titles.items() if name != own]
    return [("", "A page for each label"), (OWN, f"My paper ({titles[own]}), to cut apart"), *others]


def _flat(choices: Iterable[tuple[str, Any]]) -> Iterator[tuple[str, str]]:
    for key, inside in choices:
        yield from inside if isinstance(inside, list) else [(key, inside)]


def _language(label: str, empty: str) -> forms.ChoiceField:
    field = forms.ChoiceField(label=label, required=False, choices=[("", empty), *NAMES.items()])
    field.half = True  # type: ignore[attr-defined]
    return field
