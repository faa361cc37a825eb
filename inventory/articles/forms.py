"""Forms of a changed grade or area of a finished piece, and of what a buyer reads of it."""

from django import forms

from inventory.articles.models import Hair, Use
from inventory.base import measures
from inventory.web.fields import UnitField, areas
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField


class RegradeForm(EntryForm):
    grade = forms.CharField(max_length=12, required=False)
    area = FigureField(required=False, min_value=0)
    area_unit = UnitField(of=areas, initial=measures.area_unit, label="Measured in")
    on = DayField(label="Day")
    note = NoteField("Why", help_text="A hole came through, measured again.")


def hair_field() -> forms.ChoiceField:
    """Whether the hair is on; not said at first."""
    return forms.ChoiceField(
        choices=[("", "Not said"), *Hair.choices],
        required=False,
        help_text="With hair the label says how to comb it, and to look for moth. Not said: neither is printed.",
    )


def use_field() -> forms.ChoiceField:
    return forms.ChoiceField(choices=[("", "Not said"), *Use.choices], required=False, help_text="Adds a line of care.")


class NamingForm(EntryForm):
    title = forms.CharField(
        max_length=80,
        required=False,
        label="Name for the buyer",
        help_text="The headline of label, card and ticket. Empty: from species and kind, such as “Sheepskin rug”.",
    )
    hair = hair_field()
    use = use_field()
    textile = forms.BooleanField(
        required=False,
        label="Textile article with skin or fur in it",
        help_text="Textile by law from 80 % textile fibre by weight. Its label then says “Contains non-textile parts of animal "
        "origin”. Check local rules.",
    )
    fur_origin = forms.BooleanField(
        required=False,
        label="Print “Fur origin” and the country",
        help_text="For garments with fur, where the law asks for it, such as the United States. Check local rules.",
    )
