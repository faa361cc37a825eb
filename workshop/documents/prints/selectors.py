"""What labels can be of: the things that are named, and those that may be chosen. Reads a set number of times, however many."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q, QuerySet

from costing.models import Batch, Frame
from inventory import units
from inventory.base.finding import matching
from inventory.errors import Refused
from inventory.models import Article, Material, Place, Skin
from workshop.documents.records import shared

OFFERED = 12


@dataclass(frozen=True)
class Thing:
    """By the name that is typed, and what it is in words."""

    name: str
    note: str = ""


@dataclass(frozen=True)
class _Source:
    """`columns`: the name, and what else is searched; `usual`: those that a label is wanted of while nothing is searched."""

    rows: QuerySet[Any]
    columns: tuple[str, ...]
    order: tuple[str, ...]
    note: Callable[[Any], str]
    usual: Q = field(default_factory=Q)
    of_batch: str = ""


def _article(row: Article) -> str:
    return row.title or f"{row.kind}, {row.get_method_display().lower()}"


def _skin(row: Skin) -> str:
    return f"{row.species}, {row.customer or 'a customer'}'s" if row.theirs else row.species


_WEIGHED = [unit for unit in units.KNOWN if units.metric_of(unit) in ("g", "mL")]
_OF = {
    "article": _Source(
        Article.objects.all(),
        ("number", "title", "kind"),
        ("-finished_on", "-pk"),
        _article,
        Q(gone_on=None),
        "parts__skin__stays__batch",
    ),
    "skin": _Source(
        Skin.objects.all(),
        ("tag", "species", "customer"),
        ("-date_in", "-pk"),
        _skin,
        Q(stage__in=[Skin.Stage.RAW, Skin.Stage.IN_WORK]),
        "stays__batch",
    ),
    "batch": _Source(
        Batch.objects.select_related("version__recipe", "place"),
        ("number", "version__recipe__name", "place__name"),
        ("-start", "-pk"),
        lambda row: f"{row.version}, {row.place}" if row.place else str(row.version),
        ~Q(state=Batch.State.DONE),
        "pk",
    ),
    "material": _Source(
        Material.objects.filter(base__in=_WEIGHED), ("code", "name"), ("name", "pk"), lambda row: row.name
    ),
    "frame": _Source(
        Frame.objects.select_related("place"),
        ("number", "place__name", "note"),
        ("number",),
        lambda row: row.place.name if row.place else row.note,
        Q(broken_on=None),
    ),
    "place": _Source(Place.objects.all(), ("name",), ("name",), lambda row: row.get_kind_display()),
}

OF_BATCH = frozenset(of for of, source in _OF.items() if source.of_batch)


def called(of: str, names: Sequence[str]) -> tuple[list[Thing], list[str]]:
    """The things that names are of, as they are written in the books, each once; and the names that are of none."""
    source = _OF[of]
    key = source.columns[0]
    found, lost = shared.found(source.rows, key, names)
    return list(dict.fromkeys(_thing(source, row) for row in found)), lost


def offered(of: str, words: str, but: Iterable[Thing]) -> tuple[list[Thing], bool]:
    """The first that have the words, else the usual ones, the newest first; and whether there are more."""
    source = _OF[of]
    rows = matching(source.rows, words, source.columns) if words.strip() else source.rows.filter(source.usual)
    rows = rows.exclude(**{f"{source.columns[0]}__in": [thing.name for thing in but]}).order_by(*source.order)
    found = [_thing(source, row) for row in rows[: OFFERED + 1]]
    return found[:OFFERED], len(found) > OFFERED


def of_batch(of: str, number: str) -> list[str]:
    """The names of all that was made of, or is in, a batch."""
    source = _OF[of]
    if not source.of_batch:
        raise Refused(f"No {of} is of a batch. Choose them by name.", field="name")
    batch = Batch.objects.filter(number__iexact=number).first()
    if batch is None:
        raise Refused(f"There is no batch {number[:20]}. Its number is on the page Batches.", field="name")
    key = source.columns[0]
    rows = source.rows.filter(**{source.of_batch: batch.pk}).order_by(key)
    if found := list(rows.values_list(key, flat=True).distinct()):
        return found
    raise Refused(f"{batch.number} has no {of} yet.", field="name")


def _thing(source: _Source, row: Any) -> Thing:
    return Thing(getattr(row, source.columns[0]), source.note(row))
