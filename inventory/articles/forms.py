"""Form of a changed grade or area of a finished piece."""

from django import forms

from inventory.base import measures
from inventory.web.fields import UnitField, areas
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField


class RegradeForm(EntryForm):
    grade = forms.CharField(max_length=12, required=False)
    area = FigureField(required=False, min_value=0)
    area_unit = UnitField(of=areas, initial=measures.area_unit, label="Measured in")
    on = DayField(label="Day")
    note = NoteField("Why", help_text="A hole came through, measured again.")
