"""The choice of skins, and forms of skins that join a batch or leave it."""

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms

from inventory import units
from inventory.models import Skin
from inventory.places.forms import place_field
from inventory.web.fields import Judged
from inventory.web.forms import DayField, EntryForm


class SkinsField(Judged, forms.MultipleChoiceField):
    """Skins to tick, each with what tells it apart. Cleans to their tags."""

    def __init__(self, skins: Iterable[Skin] = (), *, needed: bool = False, **options: Any) -> None:
        options.setdefault("widget", forms.CheckboxSelectMultiple)
        super().__init__(
            choices=[(skin.tag, told_apart(skin)) for skin in skins],
            required=needed,
            error_messages={"required": "No skin was chosen. Tick at least one."},
            **options,
        )


def told_apart(skin: Skin) -> str:
    weight = f", {units.show(skin.green_weight, skin.weight_unit, 'g')} green" if skin.green_weight else ""
    theirs = f", {skin.customer or 'a customer'}'s own" if skin.owner == Skin.Owner.CUSTOMER else ""
    return f"{skin.tag}: {skin.species}{weight}{theirs}"


class JoinForm(EntryForm):
    on = DayField(label="Joined on", help_text="They share every cost of the batch from this day.")

    def __init__(self, *args: Any, skins: Sequence[Skin], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["skins"] = SkinsField(skins, needed=True, label="Skins", help_text=none_free(skins))


class LeaveForm(EntryForm):
    on = DayField(label="Taken out on", help_text="Costs of this day still count, later ones do not.")
    to = place_field("It goes to", empty_label="Back where it was")


def none_free(skins: Sequence[Skin]) -> str:
    return "" if skins else "No skin is free now: add one, or take one out of its batch first."
