"""Forms of the maker's own sheets of labels: how one is, and what a calibration page showed."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.validators import DecimalValidator

from inventory.base.labels import rules, selectors
from inventory.base.labels.models import LabelSheet
from inventory.base.labels.rules import MOST_ACROSS
from inventory.money import ZERO
from inventory.web.fields import halved
from inventory.web.forms import EntryForm, FigureField, GroupedForm, WholeField


class LengthField(FigureField):
    """A length by the workshop's own ruler; cleans to millimetres, and left empty to none where it may be left. In its help `{}`
    stands for what a printer may be off by."""

    def __init__(self, label: str, **options: Any) -> None:
        super().__init__(label=label, **options)

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        ruler = selectors.ruler()
        self.unit = ruler.sign
        self.help_text = str(self.help_text).format(rules.farthest(ruler))
        return super().get_bound_field(form, field_name)

    def prepare_value(self, value: object) -> object:
        return super().prepare_value(selectors.ruler().figure(value) if isinstance(value, Decimal) else value)

    def clean(self, value: object) -> Decimal:
        ruler = selectors.ruler()
        self.decimal_places = ruler.typed
        self.validators = [DecimalValidator(self.max_digits, ruler.typed)]
        found: Decimal | None = super().clean(value)
        return ZERO if found is None else ruler.kept(found)


class SeenField(forms.CharField):
    """The sheet as it was when the page was opened (`LabelSheet.seen`). A browser that fills old forms in again must not."""

    def __init__(self) -> None:
        super().__init__(max_length=200, widget=forms.HiddenInput(attrs={"autocomplete": "off"}))


class LabelSheetForm(GroupedForm):
    """Which figures make a sheet is judged beside its rules."""

    legends = {
        "The sheet": ("name", "paper", "columns", "rows"),
        "One label": ("width", "height"),
        "From the paper’s edge to the first label": ("left", "top"),
        "From one label to the next": ("gap_x", "gap_y"),
        "What your printer needs": ("offset_x", "offset_y"),
    }
    name = forms.CharField(max_length=40, help_text="What you call it when you print: box under the bench.")
    paper = forms.ChoiceField(
        choices=LabelSheet.Paper.choices,
        help_text="On a roll each label is a page of its own size: one column, one row, no margins.",
    )
    columns = WholeField(least=1, most=MOST_ACROSS, help_text="Labels side by side.")
    rows = WholeField(least=1, most=MOST_ACROSS, help_text="Labels one below the other.")
    width = LengthField("Width", help_text="Of one label, without its gap.")
    height = LengthField("Height", help_text="Of one label, without its gap.")
    left = LengthField(
        "From the left", required=False, help_text="From the paper’s left edge to the left edge of the first label."
    )
    top = LengthField(
        "From the top", required=False, help_text="From the paper’s upper edge to the upper edge of the first label."
    )
    gap_x = LengthField(
        "Between columns", required=False, help_text="From one label’s right edge to the next one’s left edge."
    )
    gap_y = LengthField(
        "Between rows", required=False, help_text="From one label’s lower edge to the next one’s upper edge."
    )
    offset_x = LengthField(
        "Further right", required=False, help_text="Less than 0: further left. Calibration finds it."
    )
    offset_y = LengthField("Further down", required=False, help_text="Less than 0: further up. At most {}.")


class LabelSheetEditForm(LabelSheetForm):
    seen = SeenField()


class CalibrationForm(EntryForm):
    """What is measured on paper; the offset comes of it the other way round (`rules.calibrated`)."""

    right = halved(
        LengthField(
            "Too far right",
            required=False,
            help_text="The number on the level scale where the label’s real edge crosses. Less than 0: too far left. At most {}.",
        )
    )
    low = halved(
        LengthField(
            "Too low",
            required=False,
            help_text="The number on the upright scale where the label’s real edge crosses. Less than 0: too high. At most {}.",
        )
    )
    seen = SeenField()
