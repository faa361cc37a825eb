"""Form of judging a finished piece anew."""

from __future__ import annotations

from django import forms

from inventory import units
from inventory.base import selectors as workshop
from inventory.web.fields import UnitField
from inventory.web.forms import DayField, EntryForm, FigureField

AREAS = [(unit, units.label(unit)) for unit in ("dm2", "sq_ft", "cm2", "m2")]


class RegradeForm(EntryForm):
    grade = forms.CharField(max_length=12, required=False)
    area = FigureField(required=False, min_value=0)
    area_unit = UnitField(of=AREAS, initial="dm2", label="Measured in")
    on = DayField(label="Day", initial=workshop.today)
    note = forms.CharField(
        max_length=200, required=False, label="Why", help_text="A hole came through, measured again."
    )
