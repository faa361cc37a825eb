"""Fields that forms of more than one noun share: units, money, words used before, and a share of a skin."""

import re
from collections.abc import Callable, Iterable
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from django import forms
from django.db.models import Model

from inventory import formats, money, units
from inventory.base import measures, selectors as workshop
from inventory.base.models import How
from inventory.errors import Refused
from inventory.money import half_up
from inventory.web.forms import DayField, FigureField

SHARE = re.compile(r"(\d{1,6})\s*/\s*(\d{1,6})|(\d{1,6}(?:[.,]\d{1,6})?|[.,]\d{1,6})")


class ShareField(forms.CharField):
    """A share of a skin's cost: 1/3, 0.5 or 1. Cleans to a fraction, or None when empty."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=16, **options)

    def clean(self, value: object) -> Any:
        text = super().clean(value)
        if not text:
            return None
        found = SHARE.fullmatch(text)
        if found is None or (found[2] and int(found[2]) == 0):
            raise forms.ValidationError(f"“{text}” is not a share. Write it like 1/3, 0.5 or 1.")
        share = Fraction(int(found[1]), int(found[2])) if found[1] else Fraction(self._figure(found[3]))
        if not 0 < share <= 1:
            raise forms.ValidationError(f"A share lies above 0 and is 1 at most; {text} was given.")
        return share

    def _figure(self, text: str) -> Decimal:
        try:
            return formats.current().read(text)
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None


Choices = list[tuple[str, str | list[tuple[str, str]]]]
GROUPS = {"g": "By weight", "mL": "By volume", "mm": "By length", "cm2": "By area", "piece": "By the piece"}


def labelled(*names: str) -> list[tuple[str, str]]:
    """Units as choices, in the order given."""
    return [(name, units.label(name)) for name in names]


@cache
def _of_base(base: str) -> list[tuple[str, str]]:
    return labelled(*(unit for unit in units.KNOWN if units.metric_of(unit) == base))


def unit_choices(*bases: str) -> Choices:
    """Units that measure what these metric bases do, under headings when there is more than one base; all when none is named."""
    if len(bases) == 1:
        return [*_of_base(*bases)]
    return [(GROUPS[base], _of_base(base)) for base in bases or GROUPS]


def areas() -> list[tuple[str, str]]:
    """Units of area, the workshop's own first."""
    return labelled(*measures.first(measures.area_unit(), "dm2", "sq_ft", "cm2", "m2"))


ACCOUNT = "From which account, for the cash book."


def halved(field: Any) -> Any:
    """The field as half a row: two such stand side by side."""
    field.half = True
    return field


class Judged:
    """A choice that may have left its list since the page was opened: whether it may be taken the service judges, so that a
    form sent twice is answered with what its first sending made. First among the bases of a field."""

    def valid_value(self, value: str) -> bool:
        return "\x00" not in value


class UnitField(forms.ChoiceField):
    """A unit out of those given; `own` as first choice stands for the material's own unit."""

    half = True

    def __init__(self, *, of: Iterable[Any] | Callable[[], Iterable[Any]] = (), own: str = "", **options: Any) -> None:
        options.setdefault("label", "Unit")
        if callable(of):
            super().__init__(choices=of, **options)
            return
        choices = [*of] or unit_choices()
        super().__init__(choices=[("", own), *choices] if own else choices, **options)


class MoneyBox(FigureField):
    """An amount of money; the sign of the workshop's currency stands beside the box."""

    def __init__(self, **options: Any) -> None:
        super().__init__(places=3, **options)

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        self.unit = money.sign(workshop.current().currency)
        return super().get_bound_field(form, field_name)


class WeightField(FigureField):
    """A weight of skins in the workshop's own unit, which stands beside the box; cleans to grams."""

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        self.unit = units.label(measures.weight_unit())
        return super().get_bound_field(form, field_name)

    def prepare_value(self, value: object) -> object:
        own = units.from_base(value, measures.weight_unit(), "g") if isinstance(value, Decimal) else value
        return super().prepare_value(own)

    def clean(self, value: object) -> Decimal | None:
        found: Decimal | None = super().clean(value)
        return found if found is None else units.to_base(found, measures.weight_unit(), "g")


class HowField(forms.ChoiceField):
    """How something bought was paid as it came; empty: not said."""

    def __init__(self) -> None:
        choices = [("", "Not said"), *How.in_money()]
        super().__init__(label="Paid", required=False, choices=choices, help_text=ACCOUNT)


class DueField(DayField):
    """The day a bill is due on that is not paid yet."""

    def __init__(self) -> None:
        super().__init__(
            label="Or due on", required=False, initial=None, help_text="Not paid yet: it stands under I owe."
        )


class BathField(FigureField):
    """The size of a bath or tub in the workshop's own measure, which stands beside the box; cleans to litres. In its label `{}`
    stands for the measure: “{} of bath”, “Or {} a skin”."""

    def __init__(self, label: str, **options: Any) -> None:
        super().__init__(places=units.MOST_PLACES, label=label, **options)

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        self.unit = units.label(measures.unit())
        self.label = measures.named(str(self.label))
        return super().get_bound_field(form, field_name)

    def prepare_value(self, value: object) -> object:
        return super().prepare_value(measures.figure(value) if isinstance(value, Decimal) else value)

    def clean(self, value: object) -> Decimal | None:
        found: Decimal | None = super().clean(value)
        return found if found is None else measures.in_litres(found)


class FloatField(FigureField):
    """Bath to a weight of skin in the workshop's own measures; cleans to litres to a kilogram."""

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        self.unit = measures.float_unit()
        return super().get_bound_field(form, field_name)

    def clean(self, value: object) -> Decimal | None:
        found: Decimal | None = super().clean(value)
        return found if found is None else half_up(Fraction(found) * measures.float_size(), units.MOST_PLACES)


class DegreesField(FigureField):
    """A temperature in the workshop's own degrees, whose sign stands beside the box; cleans to degrees Celsius."""

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        self.unit = measures.degrees_sign()
        return super().get_bound_field(form, field_name)

    def prepare_value(self, value: object) -> object:
        return super().prepare_value(measures.degrees_figure(value) if isinstance(value, Decimal) else value)

    def clean(self, value: object) -> Decimal | None:
        found: Decimal | None = super().clean(value)
        return found if found is None else measures.celsius(found)


def used(model: type[Model], column: str) -> Callable[[], list[str]]:
    """The words that stand in a column of a table, each once: what `Suggest` may offer."""

    def words() -> list[str]:
        rows = model._default_manager.exclude(**{column: ""}).order_by(column)
        return list(rows.values_list(column, flat=True).distinct()[:60])

    return words


RECENT = 25


class Recent:
    """A choice among records that grow by themselves: the last ones are offered, and the one that was asked for; any may be sent.

    The others are found by words, or bring themselves along from their own page. First among the bases of a field; `last` is the
    order in which they are offered.
    """

    last: tuple[Any, ...] = ("-pk",)
    queryset: Any
    widget: Any

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        bound = super().get_bound_field(form, field_name)  # type: ignore[misc]  # the field's
        key = getattr(self, "to_field_name", None) or "pk"
        rows, chosen = list(self.queryset.order_by(*self.last)[:RECENT]), bound.value()
        name = str(chosen.serializable_value(key) if isinstance(chosen, Model) else chosen or "")
        if name and all(str(row.serializable_value(key)) != name for row in rows):
            rows += self.queryset.filter(**{key: name}) if key != "pk" or name.isdecimal() else ()
        label = self.label_from_instance  # type: ignore[attr-defined]  # the field's
        choices = [(row.serializable_value(key), label(row)) for row in rows]
        self.widget.choices = [("", self.empty_label), *choices]  # type: ignore[attr-defined]  # the field's
        return bound


class RecentField(Recent, forms.ModelChoiceField):  # type: ignore[type-arg]  # takes it in the stubs only
    """One of the last records of a kind."""

    def __init__(self, *args: Any, last: tuple[Any, ...] = Recent.last, **options: Any) -> None:
        super().__init__(*args, **options)
        self.last = last


class Suggest(forms.TextInput):
    """A text box that offers words used before; anything else may be typed."""

    template_name = "inventory/web/suggest.html"

    def __init__(self, words: Callable[[], Iterable[str]], attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"autocomplete": "off", **(attrs or {})})
        self.words = words

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        words_id = f"{context['widget']['attrs'].get('id', name)}_words"
        context["widget"]["attrs"]["list"] = words_id
        return {**context, "words_id": words_id, "words": list(self.words())}
