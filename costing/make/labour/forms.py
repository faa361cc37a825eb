"""The form of labour, and what the log of work can be narrowed by."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet

from costing.make.batches.models import Batch
from costing.make.batches.stays.forms import SkinsField
from costing.make.forms import KindField
from costing.make.labour import selectors as labour
from inventory.models import Skin
from inventory.web.fields import HowField, MoneyBox, Suggest
from inventory.web.filters import Finder, one_of, recent_of, search
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField


def whom() -> list[tuple[str, str]]:
    return [("-", "Me"), *((name, name) for name in labour.people())]


class LabourFinder(Finder):
    looks_in = ("task", "who", "batch__number")
    words = search("Task, who or batch")
    batch = recent_of(Batch)
    who = one_of(whom, "Who", empty_label="Anybody", method="by_who")

    def by_who(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return rows.filter(who="" if value == "-" else value)


class LabourForm(EntryForm):
    more = ("who", "paid", "how", "laced")
    on = DayField(label="Day")
    kind = KindField()
    task = forms.CharField(
        max_length=80,
        required=False,
        widget=Suggest(labour.tasks),
        help_text="In your own words; empty: the kind's name.",
    )
    minutes = FigureField(label="Minutes", unit="min")
    who = NoteField(longest=80, widget=Suggest(labour.people), help_text="Empty: yourself.")
    paid = MoneyBox(
        required=False, help_text="Money given for it makes it book cost. Your own time is never book cost."
    )
    how = HowField()
    laced = forms.BooleanField(
        required=False,
        label="Skins were laced to frames",
        help_text="Counts the wear of a frame for each skin. Lace on frame counts by itself.",
    )

    def __init__(self, *args: Any, skins: Sequence[Skin], batches: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["batch"] = forms.ModelChoiceField(
            batches, required=False, to_field_name="number", empty_label="No batch: only the skins ticked"
        )
        self.fields["skins"] = SkinsField(
            skins, label="Only on these skins", help_text="None ticked: shared among the skins in the batch that day."
        )
        self.order_fields(["on", "kind", "task", "minutes", "batch", "skins"])
