"""The form of a stocktake of skins and pieces at one place: ticks and tags, blind; later what to do about each difference."""

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from costing.make.stocktake import selectors as stocktake
from costing.make.stocktake.selectors import Thing
from costing.make.stocktake.services import AGAIN, LEAVE, LOST, MISSING, MOVE, Differences, Doing
from inventory.models import Move, Skin
from inventory.places.moves.services import BY_HAND
from inventory.web.fields import Judged, Suggest
from inventory.web.forms import DayField, EntryForm, NoteField

SEEN = "seen_"


def usual_reasons() -> list[str]:
    return ["not found anywhere", "stolen", "eaten by beetle or mouse", "thrown out", "given away and not recorded"]


class Ticks(Judged, forms.MultipleChoiceField):
    """Which of them were found."""

    widget = forms.CheckboxSelectMultiple


class StocktakeForm(EntryForm):
    """Of the things that should be here some are ticked; what else was found is typed."""

    on = DayField(label="Counted on")
    found = Ticks(required=False, label="Found here")
    also = forms.CharField(
        required=False,
        label="Found without a line",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3, "autocapitalize": "characters", "spellcheck": "false"}),
        help_text="Tags and numbers of what is here and not on the list, with a space or a line between them.",
    )

    def __init__(
        self, *args: Any, things: Sequence[Thing], may_shed: bool = True, may_price: bool = True, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.things, self.may_shed, self.may_price = things, may_shed, may_price
        self.named: list[Thing] = []
        self.fields["found"] = Ticks(
            required=False, label="Found here", choices=[(each.key, each.code) for each in things]
        )
        # What the page before asked about, so that an answer that is refused is shown beside its question.
        for thing in stocktake.by_keys(self.seen()).values():
            missing = self.seen()[thing.key] == MISSING
            if not (missing and thing.theirs):
                self._ask(thing, missing=missing)

    def clean_also(self) -> str:
        also: str = self.cleaned_data["also"]
        self.named, faults = stocktake.named(stocktake.words(also))
        if faults:
            raise forms.ValidationError(list(faults))
        return also

    def all_found(self) -> list[Thing]:
        """What was ticked and what was typed, each once, once the form is valid."""
        ticked = stocktake.by_keys(self.cleaned_data["found"])
        return list({**ticked, **{thing.key: thing for thing in self.named}}.values())

    def ticks(self) -> Iterator[tuple[Thing, Any]]:
        """Each thing on the list with its box."""
        return zip(self.things, self["found"], strict=True)

    def seen(self) -> dict[str, str]:
        """By key, each difference as the page before showed it."""
        return {name.removeprefix(SEEN): str(self.data[name]) for name in self.data if name.startswith(SEEN)}

    def doing(self) -> dict[str, Doing]:
        """By key, what is to be done about each difference that was seen."""
        found = self.cleaned_data
        return {
            key: Doing(found.get(f"way_{key}") or found.get(f"move_{key}", ""), found.get(f"reason_{key}", ""))
            for key in self.seen()
        }

    def ask(self, differences: Differences) -> None:
        """The questions of the second step."""
        for thing in differences.missing:
            if not thing.theirs:
                self._ask(thing, missing=True).required = True
        data: Any = self.data
        data = data.copy()
        for thing in differences.elsewhere:
            self._ask(thing, missing=False).required = True
            # A form that was sent shows what was sent: the offer is made where nothing was said yet.
            data.setdefault(thing.entry("move"), self._ways_elsewhere()[0][0])
        self.data = data

    def questions(self, thing: Thing) -> tuple[BoundField | None, BoundField | None]:
        """What about a missing thing, and how it went. A customer's own has neither; one that may only be sought no second."""
        names = (thing.entry("way"), thing.entry("reason"))
        way, reason = (self[name] if name in self.fields else None for name in names)
        return way, reason

    def _ask(self, thing: Thing, *, missing: bool) -> forms.Field:
        """The choice about a thing. It is not required of the form, so that the service's own words ask for it."""
        name = thing.entry("way") if missing else thing.entry("move")
        if name in self.fields:
            return self.fields[name]
        ways = self._ways_missing(thing) if missing else self._ways_elsewhere()
        self.fields[name] = forms.ChoiceField(
            choices=ways, required=False, widget=forms.RadioSelect, label=f"What about {thing.code}?"
        )
        if missing and len(ways) > 1:
            self.fields[thing.entry("reason")] = NoteField(
                f"How {thing.code} went", widget=Suggest(usual_reasons), help_text="Needed if it is gone."
            )
        return self.fields[name]

    def _ways_missing(self, thing: Thing) -> list[tuple[str, str]]:
        again = [(AGAIN, "Look again: nothing is written")]
        if isinstance(thing.row, Skin):
            return again + ([(LOST, "It is lost: written off, with its cost so far")] if self.may_shed else [])
        # What a stocktake finds gone is most often lost; the other ways follow.
        ways: Sequence[Move.Why] = sorted(BY_HAND, key=lambda why: why != Move.Why.MISSING)
        return again + ([(why.value, f"It is gone: {why.label.lower()}") for why in ways] if self.may_price else [])

    def _ways_elsewhere(self) -> list[tuple[str, str]]:
        return [*([(MOVE, "Write its move to here")] if self.may_shed else []), (LEAVE, "Leave the books as they are")]
