"""The kinds of cells: a reader and the writer that it reads back. Each column of a file names one."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.apps import apps

from costing.make.readings.areas import taps
from costing.make.recipes.models import TaskKind
from costing.make.recipes.rules import BASES
from costing.make.recipes.services import MOST_MINUTES
from costing.sell.rounding.rules import Level, Way
from costing.sell.sales.numbering.services import MOST_DIGITS
from costing.sell.sales.terms.services import LAWS, LONGEST_DAYS
from inventory import substances, units
from inventory.base.languages import LANGUAGES
from inventory.base.models import BathUnit, Degrees, How, Measures, Reference, Sheet
from inventory.models import OUTWARD_REASONS, CostFlow, Hair, Method, Move, Use
from inventory.places.moves.services import BY_HAND
from workshop.transfer.format import readers, writers

_HELD = readers.HELD_DECIMALS

MODELS: dict[str, Any] = {
    model.__name__: model for app in ("inventory", "costing") for model in apps.get_app_config(app).get_models()
}
# Choices that are not of one record.
_CHOICES: dict[str, Iterable[str]] = {
    "BathUnit": BathUnit.values,
    "Reference": Reference.values,
    "CostFlow": CostFlow.values,
    "Degrees": Degrees.values,
    "Measures": Measures.values,
    "Sheet": Sheet.values,
    "How": How.values,
    "Level": tuple(Level),
    "Method": Method.values,
    "Hair": Hair.values,
    "Use": Use.values,
    "TaskKind": TaskKind.values,
    "Way": tuple(Way),
    "basis": BASES,
    "law": LAWS,
    "language": LANGUAGES,
    "moved": (Move.Why.MOVED.value, *(why.value for why in BY_HAND)),
    "outward": OUTWARD_REASONS,
}


@dataclass(frozen=True)
class Kind:
    """How cells of one kind are read and written.

    `empty` is what an empty cell says, `words` are those a cell may hold, where it holds one of a few, and `build` turns what
    was read into what a service takes.
    """

    read: Callable[[str], Any]
    write: Callable[[Any], str] = str
    empty: Any = None
    words: tuple[str, ...] = ()
    build: Callable[[Any], Any] | None = None


def choice(words: Iterable[str]) -> Kind:
    known = tuple(map(str, words))
    return Kind(readers.choice(known), empty="", words=known)


def _of_record(name: str) -> Iterable[str]:
    """The words of `Sale.Kind`; an empty one is an empty cell."""
    model, choices = name.split(".")
    return filter(None, getattr(MODELS[model], choices).values)


def whole(least: int = 0, most: int = 3650) -> Kind:
    return Kind(readers.whole(least=least, most=most))


def base_amount(unit: str, *, zero: bool = False) -> Kind:
    """A quantity in that unit, of which the service takes so many of the base unit."""
    base = units.base_of(unit)
    return Kind(readers.number(zero=zero), writers.measure(unit), build=lambda value: units.to_base(value, unit, base))


def named(words: str) -> Kind:
    """The kind that `files.txt` calls so: `money`, `text 80`, `choice Method`, `whole 1 1000`."""
    name, *rest = words.split()
    return _NAMED[name] if name in _NAMED else _WITH[name](*rest)


_NAMED: dict[str, Kind] = {
    "code": Kind(readers.code, empty=""),
    "day": Kind(readers.day, date.isoformat),
    "moment": Kind(readers.moment, writers.moment),
    "yes_no": Kind(readers.yes_no, writers.yes_no),
    "tags": Kind(readers.tags, writers.tags, ()),
    "stays": Kind(readers.stays, writers.tags, ()),
    "lacings": Kind(readers.lacings, lambda each: " ".join(map(str, each)), ()),
    "share": Kind(readers.share),
    "substance": Kind(substances.substance_slug, empty=""),
    "unit": Kind(units.canonical, empty=""),
    "recipe_unit": Kind(readers.recipe_unit, empty=""),
    "file_name": Kind(readers.file_name, empty=""),
    # Money, and what is kept with as many decimals.
    "money": Kind(readers.number(decimals=_HELD, zero=True), writers.coins),
    "price": Kind(readers.number(decimals=_HELD), writers.coins),
    "in_or_out": Kind(readers.number(decimals=_HELD, signed=True), writers.coins),
    "balance": Kind(readers.number(decimals=_HELD, signed=True, zero=True), writers.coins),
    "number": Kind(readers.number(decimals=_HELD), writers.number),
    "number_or_zero": Kind(readers.number(decimals=_HELD, zero=True), writers.number),
    "signed_or_zero": Kind(readers.number(decimals=_HELD, signed=True, zero=True), writers.number),
    "signed": Kind(readers.number(decimals=_HELD, signed=True), writers.number),
    # What becomes another unit first, and what is exact.
    "quantity": Kind(readers.number(), writers.number),
    "quantity_or_zero": Kind(readers.number(zero=True), writers.number),
    "minutes": Kind(readers.number(zero=True), writers.number),
    "litres": Kind(readers.number(), writers.measure("L")),
    "area": Kind(readers.number(), writers.measure("dm2")),  # read in the unit that the row names
    "kilograms": base_amount("kg"),
    "dm2": base_amount("dm2"),
    "dm2_or_zero": base_amount("dm2", zero=True),
    # What was tapped on a photo.
    "points": Kind(readers.points, taps.written, ()),
    "defects": Kind(readers.defects, writers.defects, ()),
    # Whole numbers with an end of their own.
    "digits": whole(1, MOST_DIGITS),
    "hand_minutes": whole(most=MOST_MINUTES),
    "term_days": whole(most=LONGEST_DAYS),
    "seq": whole(1, 10_000_000),
}

_WITH: dict[str, Callable[..., Kind]] = {
    "text": lambda longest: Kind(readers.text(int(longest)), empty=""),
    "choice": lambda name: choice(_CHOICES[name] if name in _CHOICES else _of_record(name)),
    "whole": lambda *ends: whole(*map(int, ends)),
}
