"""Forms of an area from a photo: the photo itself, and what is tapped on it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from costing.make.readings.areas import selectors as areas
from costing.make.readings.areas.taps import Defect, Ring, Tapped, defects, points, written
from costing.make.readings.forms import PhotoField
from inventory import units
from inventory.base import measures
from inventory.errors import Refused
from inventory.web.fields import UnitField, labelled
from inventory.web.forms import DayField, EntryForm, FigureField

LENGTHS = ("cm", "mm", "inch")
# Of the points in one box: twice what an outline may have, each to a tenth of a pixel.
LONGEST = 30_000


class PhotoForm(EntryForm):
    photo = PhotoField(help_text="From the camera or the album. Made small, and without the place it was taken at.")


class PointsField(forms.CharField):
    """Points as `x,y x,y …`; cleans to the ring."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=LONGEST, **options)

    def clean(self, value: Any) -> Any:
        try:
            return self.read(super().clean(value))
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None

    def read(self, text: str) -> Any:
        return points(text, "")


class DefectsField(PointsField):
    """A defect in a line, `scar: x,y x,y …`; cleans to what they are."""

    def read(self, text: str) -> Any:
        return defects(text, "")


def _lengths() -> list[tuple[str, str]]:
    return labelled(*measures.first(measures.length_unit(), *LENGTHS))


def _known() -> list[tuple[str, str]]:
    sides = [(f"{wide}x{high}", f"{measures.length(wide)} × {measures.length(high)}") for wide, high in areas.frames()]
    return [*sides, ("", "Another size")]


def _numbers(**attrs: Any) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": 3, "autocomplete": "off", "spellcheck": "false", **attrs})


def _along(label: str, words: str = "") -> FigureField:
    return FigureField(label=label, required=False, help_text=words)


class AreaForm(EntryForm):
    """`tapped` gives what the service takes. Empty rings are left to its refusals, which say what to tap."""

    way = forms.ChoiceField(
        label="What tells the size",
        choices=[("frame", "The inside of its frame"), ("marks", "Two marks, in a photo from straight above")],
        initial="frame",
        widget=forms.RadioSelect,
    )
    known = forms.ChoiceField(
        label="Inside of the frame", choices=_known, required=False, help_text="A size typed below counts instead."
    )
    width = _along("Inside width")
    height = _along("Inside height")
    apart = _along("Distance of the marks", "The ends of a rule that lies beside the hide, or two knots.")
    unit = UnitField(label="Measured in", of=_lengths, required=False)
    state = forms.ChoiceField(
        label="The hide is", choices=[("wet", "Wet"), ("dry", "Dry")], widget=forms.RadioSelect, initial="wet"
    )
    on = DayField(label="Photo of")
    corners = PointsField(
        required=False,
        widget=_numbers(rows=2),
        help_text="The four inside corners of the frame, clockwise from the top left; or the two marks.",
    )
    outline = PointsField(required=False, widget=_numbers(), help_text="Along the edge of the hide, all round.")
    defects = DefectsField(
        label="Holes and defects",
        required=False,
        widget=_numbers(),
        help_text="Each in a line of its own that begins with hole, thin, scar or brand and a colon.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        known = _known()
        if len(known) == 1:
            del self.fields["known"]
        else:
            self.fields["known"].initial = known[0][0]

    def tapped(self) -> Tapped:
        """In mm and pixels; of the two ways to tell the size only the one that was chosen."""
        data = self.cleaned_data
        rings: dict[str, Any] = {name: data[name] for name in ("corners", "outline", "defects")}
        if data["way"] == "marks":
            return Tapped(**rings, apart=self._mm("apart") or Decimal(0))
        wide, high = self._mm("width"), self._mm("height")
        if wide is None and high is None and data.get("known"):
            wide, high = (Decimal(side) for side in data["known"].split("x"))
        return Tapped(**rings, width=wide, height=high)

    def _mm(self, name: str) -> Decimal | None:
        amount: Decimal | None = self.cleaned_data[name]
        unit = self.cleaned_data["unit"] or measures.length_unit()
        return None if amount is None else units.to_base(amount, unit, "mm")

    def replace_outline(self, ring: Ring) -> None:
        """Another outline in its box, as if it had been typed."""
        data: Any = self.data
        self.data = data = data.copy()
        data["outline"] = self.cleaned_data["outline"] = written(ring)

    def drawn(self) -> list[tuple[str, str]]:
        """What can be read of the rings, each as its kind and its points, for the drawing over the photo."""
        rings: list[tuple[str, Ring]] = [(name, self._read(name)) for name in ("outline", "corners")]
        found: tuple[Defect, ...] = self._read("defects")
        return [(kind, written(ring)) for kind, ring in [*rings, *((each.kind, each.ring) for each in found)] if ring]

    def _read(self, name: str) -> Any:
        try:
            return self.fields[name].clean(self[name].value() or "")
        except forms.ValidationError:
            return ()
