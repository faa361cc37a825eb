"""Fields for measures, money and names: the units that fit, the currency's sign, words typed before.

Amounts are judged by the services; what is checked here only keeps the refusal beside the box it speaks of.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal
from functools import cache
from typing import Any

from django import forms

from inventory import money, units
from inventory.forms.entry import FigureField
from inventory.models import Material
from inventory.selectors import workshop

Choices = list[tuple[str, str | list[tuple[str, str]]]]

GROUPS = {"g": "By weight", "mL": "By volume", "mm": "By length", "cm2": "By area", "piece": "By the piece"}


@cache
def _by_base() -> dict[str, list[tuple[str, str]]]:
    found: dict[str, list[tuple[str, str]]] = {base: [] for base in GROUPS}
    for unit in units.known():
        found[units.base_of(unit)].append((unit, units.label(unit)))
    return found


def unit_choices(*bases: str) -> Choices:
    """Units of these bases, under headings when there is more than one base; all when none is named."""
    wanted = bases or tuple(GROUPS)
    if len(wanted) == 1:
        return [*_by_base()[wanted[0]]]
    return [(GROUPS[base], _by_base()[base]) for base in wanted]


def fitting(material: Material) -> Choices:
    """The units this material can be measured in: its own dimension, and mass or volume once its density is known."""
    if material.base in ("g", "mL") and material.density_g_per_ml is not None:
        return unit_choices("g", "mL")
    choices = unit_choices(material.base)
    named = [name for name, _ in choices]
    # A unit outside the usual list (a tonne) may be the material's own.
    return choices if material.unit in named else [(material.unit, units.label(material.unit)), *choices]


class UnitField(forms.ChoiceField):
    """A unit out of those given; `own` as first choice stands for the material's own unit."""

    def __init__(self, *, of: Iterable[Any] = (), own: str = "", **options: Any) -> None:
        options.setdefault("label", "Unit")
        choices = [*of] or unit_choices()
        super().__init__(choices=[("", own), *choices] if own else choices, **options)


class MoneyBox(FigureField):
    """An amount of money; the sign of the workshop's currency stands beside the box."""

    def __init__(self, **options: Any) -> None:
        super().__init__(places=3, **options)

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        self.unit = money.sign(workshop.current().currency)
        return super().get_bound_field(form, field_name)


class Suggest(forms.TextInput):
    """A text box that offers words used before; anything else may be typed."""

    template_name = "inventory/widgets/suggest.html"

    def __init__(self, words: Callable[[], Iterable[str]], attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"autocomplete": "off", **(attrs or {})})
        self.words = words

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        words_id = f"{context['widget']['attrs'].get('id', name)}_words"
        context["widget"]["attrs"]["list"] = words_id
        return {**context, "words_id": words_id, "words": list(self.words())}


def typed(amount: Decimal, unit: str) -> str:
    """The measure as it was typed, to be kept beside the converted one.

    >>> typed(Decimal("2.500"), "us_cup")
    '2.5 us_cup'
    """
    return f"{amount.normalize():f} {unit}"
