"""Forms of recipes: the head of a version, the rows of lines and of steps; and what the list can be narrowed by."""

import dataclasses
from collections.abc import Iterable, Mapping
from typing import Any, cast

from django import forms
from django.forms.formsets import formset_factory
from django.utils.choices import flatten_choices

from costing.make.forms import KindField
from costing.make.recipes import selectors as recipes
from costing.make.recipes.models import RecipeLine, RecipeStep, TaskKind
from costing.make.recipes.outlines.rules import Ingredient
from costing.make.recipes.rules import BASES, BY_BATH, Span, spans, tie
from costing.make.recipes.services import MOST_DAYS, MOST_MINUTES, MOST_STEPS, Step
from inventory.base import measures
from inventory.base.models import BathUnit
from inventory.errors import Refused
from inventory.materials.forms import MeasureForm
from inventory.models import Material, Method
from inventory.web.fields import BathField, halved
from inventory.web.filters import Finder, one_of, search
from inventory.web.forms import EntryForm, NoteField, Rows, WholeField, entered, named, rows


class RecipeFinder(Finder):
    looks_in = ("code", "name")
    words = search("Code or name")
    method = one_of(Method.choices)


PERCENT = "percent_of_weight"


class VersionForm(EntryForm):
    """The next version: code and method stay what they are."""

    more = ("name", "litres_per_skin", "note")
    name = NoteField("What it is for", longest=80, help_text="Potash-alum bath, hair on.")
    litres_per_skin = BathField("{} a skin", required=False, help_text="Lets the shelf say how many skins it allows.")
    note = NoteField(help_text="What is new in this version.")


class RecipeForm(VersionForm):
    code = halved(forms.CharField(max_length=20, help_text="As on the tub: R1."))
    method = halved(forms.ChoiceField(choices=Method.choices, help_text="For the care label."))
    field_order = ["code", "method", "name", "litres_per_skin", "note"]


class SideBySide(forms.Form):
    """A row whose boxes stand beside each other as `together` names them; those of `besides` are folded away while empty.
    Folded itself it is `told` in a line, by what stands in the boxes of `told_by`."""

    Boxes = tuple[tuple[str, ...], ...]
    together: Boxes
    besides: Boxes
    told_by: tuple[str, ...]

    def lines(self) -> list[list[forms.BoundField]]:
        return [[self[name] for name in members] for members in self.together]

    def more_lines(self) -> list[list[forms.BoundField]]:
        return [[self[name] for name in members] for members in self.besides]

    def more_named(self) -> str:
        return named(field for members in self.more_lines() for field in members)

    def more_wanted(self) -> bool:
        boxes = [field for members in self.more_lines() for field in members]
        return any(field.errors or entered(field) for field in boxes)

    @property
    def told(self) -> str:
        return " ".join(words for name in self.told_by if (words := self._said(name)))

    def _said(self, name: str) -> str:
        """What stands in a box, in words; nothing for an empty one."""
        value = str(self[name].value() or "")
        field = self.fields[name]
        return (
            str(dict(flatten_choices(field.choices)).get(value, "")) if value and hasattr(field, "choices") else value
        )


# What an outline that goes by the bath is calculated by, in each measure of a bath.
BATHS = dict(zip(BathUnit.values, BY_BATH, strict=True))


class LineForm(SideBySide, MeasureForm):
    basis = forms.ChoiceField(choices=[("", "–"), *BASES.items()], required=False, label="Calculated")
    step = NoteField("Step", longest=40, help_text="As it is named below.")
    day = WholeField("Day", most=MOST_DAYS, required=False, help_text="Of the step. Empty: as it begins.")
    at_end = forms.BooleanField(required=False, label="As the step ends")
    how = NoteField("How", longest=80, help_text="Dissolved, and slowly.")
    wanted = NoteField(longest=80, widget=forms.HiddenInput)
    needed = {**MeasureForm.needed, "basis": "Choose what the amount is for, or empty the row."}
    together = (("material", "amount", "unit", "basis"), ("step",))
    besides = (("day", "at_end"), ("how",))
    told_by = ("material", "amount", "unit", "basis", "step")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if wanted := self["wanted"].value():
            self.fields["material"].help_text = f"The outline means: {wanted}."

    @property
    def told(self) -> str:
        """A line of an outline stands open until its amount is entered."""
        return "" if self["wanted"].value() and not self["amount"].value() else super().told

    def has_changed(self) -> bool:
        """Without material and amount a row says nothing, whatever an outline or the maker put beside them."""
        return bool({"material", "amount"} & set(self.changed_data))

    def by_measure(self, found: dict[str, Any]) -> bool:
        return bool(found["basis"] != PERCENT)


LineRows = rows(LineForm, empty=2)


def line_as_row(line: RecipeLine) -> dict[str, Any]:
    """A line as it stands in the row of the next version."""
    amount, unit = recipes.typed(line)
    found = {"material": line.material, "basis": line.basis, "how": line.how, "amount": amount}
    return {**found, "unit": "" if unit == "%" else unit, **_when_as_row(line)}


def ingredient_as_row(line: Ingredient, shelf: Iterable[Material]) -> dict[str, Any]:
    """A line of an outline as it stands in a row: all but the amount, and the material where the shelf has it."""
    basis = BATHS[measures.unit()] if line.basis in BY_BATH else line.basis
    found = {"material": line.among(shelf), "basis": basis, "step": line.goes_in, "day": line.day}
    return {**found, "at_end": line.at_end, "how": line.how, "wanted": line.material}


def _when_as_row(line: RecipeLine) -> dict[str, Any]:
    """In the days of its step, so that it stays in its place when the steps before it are changed."""
    if line.step is None:
        return {"step": "", "day": line.day or None, "at_end": False}
    begins, ends = spans(line.version.steps.all())[line.step.name]
    at_end = begins < ends == line.day
    return {"step": line.step.name, "day": None if at_end else line.day - begins or None, "at_end": at_end}


def when(row: Mapping[str, Any], known: Mapping[str, Span]) -> tuple[str, int | None]:
    """The step that a row names and the day of the recipe that it means; `Refused` where the row cannot mean one."""
    name, day, at_end = row["step"], row["day"], row["at_end"]
    if not name:
        if known or at_end:
            there = f": {', '.join(known)}." if known else ", and add it among the steps below."
            raise Refused(f"Name the step in which {row['material'].name} goes in{there}", field="step")
        return "", day
    name, begins = tie(name, None, known)
    ends = known[name][1]
    if day is not None and (day > ends - begins or at_end):
        lasts = f"{name} lasts {ends - begins} days" if ends > begins else f"{name} is done in a day"
        raise Refused(f"{lasts}: enter a day of it, or tick that it goes in as the step ends, not both.", field="day")
    return name, ends if at_end else begins + (day or 0)


class StepRowForm(SideBySide):
    """One step; a row in which nothing is entered is ignored."""

    name = NoteField("Step", longest=40)
    task = NoteField("What is done", longest=80)
    kind = KindField(help_text="")
    uses = forms.ChoiceField(choices=RecipeStep.Uses.choices, required=False, label="Takes up")
    wait_days = WholeField("Waits, days", most=MOST_DAYS, empty=0)
    lasts_days = WholeField("Lasts, days", most=MOST_DAYS, empty=0)
    grace_days = WholeField("Safe, days", most=MOST_DAYS, empty=0)
    repeat = NoteField("Repeated meanwhile", longest=40)
    every_days = WholeField("Every, days", most=MOST_DAYS, empty=0)
    repeat_minutes = WholeField("Minutes each", most=MOST_MINUTES, empty=0)
    minutes = WholeField("Minutes, batch", most=MOST_MINUTES, empty=0)
    minutes_per_skin = WholeField("Minutes a skin", most=MOST_MINUTES, empty=0)
    caution = NoteField("Safety notes", longest=300, widget=forms.Textarea(attrs={"rows": 2}))
    together = (("name",), ("wait_days", "lasts_days", "grace_days"))
    besides = (
        ("task", "kind", "uses"),
        ("minutes", "minutes_per_skin"),
        ("repeat", "every_days", "repeat_minutes"),
        ("caution",),
    )
    told_by = ("name",)

    def clean_kind(self) -> str:
        return str(self.cleaned_data["kind"] or TaskKind.OTHER)

    def clean_caution(self) -> str:
        """One line, however the box broke it."""
        return " ".join(str(self.cleaned_data["caution"]).split())

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if self.has_changed() and not found.get("name") and "name" not in self.errors:
            self.add_error("name", "Name the step, or empty the row.")
        return found


def step_as_row(step: RecipeStep) -> dict[str, Any]:
    """A step as it stands in the row of the next version; zero is left empty."""
    return {field.name: getattr(step, field.name) or "" for field in dataclasses.fields(Step)}


class _StepRows(Rows):
    first_open = False

    def clean(self) -> None:
        """The marks of a batch go by the step's name, so no two may have the same."""
        seen: set[str] = set()
        for row in self.filled():
            name = str(row.cleaned_data.get("name", "")).casefold()
            if name and name in seen:
                row.add_error("name", "Another step has this name. Give each its own, such as Bath and Second bath.")
            seen.add(name)


StepRows = cast(
    "type[Rows]", formset_factory(StepRowForm, formset=_StepRows, extra=2, max_num=MOST_STEPS, absolute_max=MOST_STEPS)
)
