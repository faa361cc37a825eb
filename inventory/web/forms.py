"""Fields and forms that every entry is made of: figures, days, the hidden key, and rows that may stay empty."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.forms.formsets import BaseFormSet, formset_factory
from django.utils import timezone

from inventory import formats
from inventory.base import selectors as workshop
from inventory.base.identifiers import rules as identifiers
from inventory.errors import Refused
from inventory.web.questions import SURE, Asked


def fresh_key() -> str:
    return uuid.uuid4().hex


class FigureField(forms.DecimalField):
    """A decimal as makers type it, read and shown as the workshop writes figures. `unit` is shown beside the box.

    `plain`: it comes out of an address that the program wrote, with a decimal point.
    """

    half = True

    def __init__(self, *, unit: str = "", places: int = 3, plain: bool = False, **options: Any) -> None:
        self.unit, self.plain = unit, plain
        options.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}))
        super().__init__(max_digits=15, decimal_places=places, **options)

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str) and value.strip():
            try:
                value = (formats.PLAIN if self.plain else formats.current()).read(value)
            except Refused as refusal:
                raise forms.ValidationError(str(refusal)) from None
            if -int(value.as_tuple().exponent) > (self.decimal_places or 0):
                value = Decimal(f"{value.normalize():f}")  # noughts at the end are no finer figure
        return super().to_python(value)

    def prepare_value(self, value: object) -> object:
        return formats.current().typed(value) if isinstance(value, Decimal) else value


class WholeField(forms.IntegerField):
    """A whole number that is typed; with `empty`, which stands for an empty box, it may be left out."""

    half = True
    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})

    def __init__(
        self, label: str | None = None, *, least: int = 0, most: int, empty: int | None = None, **options: Any
    ) -> None:
        super().__init__(label=label, min_value=least, max_value=most, **{"required": empty is None, **options})
        self.empty = empty

    def clean(self, value: object) -> int | None:
        found: int | None = super().clean(value)
        return self.empty if found is None else found


class NoteField(forms.CharField):
    """A line of words that may be left out."""

    def __init__(self, label: str | None = None, *, longest: int = 200, **options: Any) -> None:
        super().__init__(label=label, max_length=longest, required=False, **options)


class TaxNumberField(NoteField):
    """A tax number as it was typed. Judged where it is typed and not where it is kept: a folder saved before stays loadable."""

    def clean(self, value: Any) -> Any:
        try:
            return identifiers.tax_number(super().clean(value))
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None


class DayField(forms.DateField):
    """A day; the workshop's today stands in it unless another `initial` is given."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("initial", workshop.today)
        options.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        super().__init__(**options)


class MomentField(forms.Field):
    """The moment of the tap as the device knew it, with its zone: an entry may wait hours for a signal. Blank: now.

    A form that can wait carries it as `at = MomentField(required=False)`; the page fills it in when the button is pressed.
    """

    widget = forms.HiddenInput(attrs={"data-moment": "", "autocomplete": "off"})

    def to_python(self, value: object) -> datetime | None:
        if value in self.empty_values:
            return None
        try:
            moment = datetime.fromisoformat(str(value).strip())
        except ValueError:
            moment = None
        if moment is None or moment.tzinfo is None:
            raise forms.ValidationError(
                f"“{str(value)[:40]}” is not a moment with its time zone, such as 2025-01-25T08:30:00+02:00. Load the page again."
            )
        return moment


def sent_words(form: forms.Form) -> str:
    """All that a form was sent with, as one text: the same for the same entry sent again.

    Without its key and its token, without the answer to a question, and without the moment of the tap, which a second tap on
    the same form sets anew.
    """
    apart = {"request_key", "csrfmiddlewaretoken", SURE}
    apart |= {name for name, field in form.fields.items() if isinstance(field, MomentField)}
    data, files = _sent(form.data), _sent(form.files)
    words = [(name, data[name]) for name in sorted(data.keys() - apart)]
    return repr((words, [(name, [(file.name, file.size) for file in files[name]]) for name in sorted(files)]))


def _sent(given: Any) -> dict[str, list[Any]]:
    return dict(given.lists()) if hasattr(given, "lists") else {name: [value] for name, value in given.items()}


def renew_key(form: forms.Form) -> None:
    """A fresh key for the form as it is shown again: sent once more, it is a new entry."""
    data: Any = form.data
    form.data = data = data.copy()
    data["request_key"] = fresh_key()


def hold_moment(form: forms.Form) -> None:
    """Keep the moment of this sending in the form as it is shown again: what is asked first still happened then."""
    data: Any = form.data
    form.data = data = data.copy()
    for name, field in form.fields.items():
        if isinstance(field, MomentField):
            data[form.add_prefix(name)] = data.get(form.add_prefix(name)) or timezone.now().isoformat()
            field.widget = forms.HiddenInput(attrs={"autocomplete": "off"})


class EntryForm(forms.Form):
    """A form whose sending is safe to repeat: the hidden key makes the second one answer with the first.

    `more` names the fields that most entries leave as they are: they stand folded under "More details". `asked`: what is to be
    answered before it is kept.
    """

    more: tuple[str, ...] = ()
    asked: Asked | None = None

    # No autocomplete: a browser that fills old forms in again would send the old key, and the new entry would be taken for it.
    request_key = forms.CharField(
        widget=forms.HiddenInput(attrs={"autocomplete": "off"}), max_length=64, initial=fresh_key
    )


class GroupedForm(EntryForm):
    """An entry whose fields stand under legends; a field that the form does not have is passed by."""

    legends: Mapping[str, tuple[str, ...]] = {}

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        return [
            (legend, [self[name] for name in names if name in self.fields]) for legend, names in self.legends.items()
        ]


def named(boxes: Iterable[forms.BoundField]) -> str:
    """What a fold holds, beside its handle, so that nobody opens it in vain."""
    labels = (str(box.label) for box in boxes)
    return ", ".join(label if label[:2].isupper() else label[:1].lower() + label[1:] for label in labels)


def entered(box: forms.BoundField) -> bool:
    """Whether a box holds anything but what it opens with."""
    first = [key for key, _ in list(getattr(box.field, "choices", ()))[:1]]
    return box.value() not in (None, "", False, box.field.initial, *first)


MORE = "more"
EMPTY_ROWS = 3
STEP = 3
MOST = 60


class Rows(BaseFormSet):  # type: ignore[type-arg]  # takes its argument in the stubs only
    """Rows that may each be left empty, also those that were filled before more were asked for."""

    first_open = True

    def initial_form_count(self) -> int:
        return 0

    def filled(self) -> Iterator[Any]:
        """The forms in which something was entered, in order."""
        return (form for form in self.forms if form.has_changed())

    def shown(self) -> list[tuple[Any, bool]]:
        """Each row, and whether it stands open: one that is wrong, one that was begun unless it is `told` in a line, or,
        where nothing was begun, the first (`first_open`)."""
        begun = [any(entered(form[name]) for name in form.fields) for form in self.forms]
        return [
            (
                form,
                bool(form.errors)
                or (here and not getattr(form, "told", ""))
                or (self.first_open and not (number or any(begun))),
            )
            for number, (form, here) in enumerate(zip(self.forms, begun, strict=True))
        ]

    def complaints(self, word: str = "Line") -> list[str]:
        """Every fault with the row it stands in, called `word`, for the summary above the form."""
        found = [str(error) for error in self.non_form_errors()]
        for number, form in enumerate(self.forms, start=1):
            for name, errors in form.errors.items():
                label = "" if name == "__all__" else f", {form[name].label.lower()}"
                found += [f"{word} {number}{label}: {error}" for error in errors]
        return found


def rows(form: type[forms.Form], *, empty: int = EMPTY_ROWS, most: int = MOST) -> type[Rows]:
    made = formset_factory(form, formset=Rows, extra=empty, max_num=most, absolute_max=most)
    return cast("type[Rows]", made)


def as_typed(fields: Mapping[str, forms.Field], data: Mapping[str, Any], prefix: str = "") -> dict[str, Any]:
    """What stands in the boxes as it was typed, unjudged: to show a form again."""
    names = {name: f"{prefix}-{name}" if prefix else name for name in fields}
    return {name: field.widget.value_from_datadict(data, {}, names[name]) for name, field in fields.items()}


def with_more(kind: type[Rows], data: Mapping[str, Any], *, prefix: str, form_kwargs: dict[str, Any]) -> Rows:
    """The rows as they were typed, with further empty ones below; nothing is judged yet."""
    count = str(data.get(f"{prefix}-TOTAL_FORMS", ""))
    there = min(MOST, int(count)) if count.isascii() and count.isdigit() and len(count) < 6 else 0
    kept = [as_typed(kind.form.base_fields, data, f"{prefix}-{row}") for row in range(there)]
    made = kind(initial=kept, prefix=prefix, form_kwargs=form_kwargs)
    made.extra = min(MOST, there + STEP)
    return made
