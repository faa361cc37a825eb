"""Which fields of the records a folder carries. One that no column carries and that `files.txt` does not name with a reason
would be lost on save without an error."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.apps import apps
from django.db.models import Field, Model
from django.db.models.fields.reverse_related import ForeignObjectRel

from costing.models import Rates, Series, Terms
from inventory.models import Workshop
from workshop.transfer.format.columns import FILES, KEYS, sections

Named = tuple[str, str]

# Why each field is left out, by its model and name.
LEFT_OUT: dict[Named, str] = {
    (model, name): why
    for model, names, why in (map(str.strip, line.split("|")) for line in sections()["fields that no column carries"])
    for name in names.split()
}
_HEADS: dict[str, type[Model]] = {"workshop": Workshop, "rates": Rates, "terms": Terms, "series": Series}


def not_accounted_for() -> list[str]:
    """Fields that no column carries and that nobody gave a reason for, as `Model.field`."""
    known = {*carried(), *LEFT_OUT}
    return [".".join(each) for each in fields() if each not in known]


def misnamed() -> list[str]:
    """Fields that are named as left out, and that are not there or are carried after all."""
    there, columns = set(fields()), set(carried())
    return [".".join(each) for each in LEFT_OUT if each not in there or each in columns]


def fields() -> Iterator[Named]:
    """Every field that the records of both floors keep, but for the database's own numbers of rows."""
    for app in ("inventory", "costing"):
        for model in apps.get_app_config(app).get_models():
            for field in (*model._meta.concrete_fields, *model._meta.local_many_to_many):
                if field.name != "id":
                    yield model.__name__, field.name


def carried() -> Iterator[Named]:
    """The fields of its own models that each file's columns carry."""
    for file in FILES.values():
        own = {model.__name__ for model in file.models}
        for column in file.columns:
            for path in filter(None, (column.path, *column.carries)):
                yield from (each for each in _along(file.models[0], path.split(".")) if each[0] in own)
    for column in KEYS.values():
        head, *rest = column.path.split(".")
        yield _HEADS[head].__name__, rest[-1]


def _along(model: type[Model], path: Iterable[str]) -> Iterator[Named]:
    """Each field that a path goes through, from one record to the next; within a value of its own it ends."""
    for part in path:
        field = model._meta.get_field(part)
        if isinstance(field, ForeignObjectRel):
            yield field.related_model.__name__, field.field.name
            model = field.related_model
        else:
            yield model.__name__, field.name
            if not isinstance(field, Field) or not isinstance(field.related_model, type):
                return
            model = field.related_model
