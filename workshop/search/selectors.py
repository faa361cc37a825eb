"""What the one search box finds: each noun is asked by its own `search`, one query a kind and ten hits each."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from costing.make.batches import selectors as batches
from costing.make.frames import selectors as frames
from costing.make.recipes import selectors as recipes
from costing.sell.customers import selectors as customers
from costing.sell.jobs import selectors as jobs
from costing.sell.payments import selectors as payments
from costing.sell.sales import selectors as sales
from inventory import formats
from inventory.articles import selectors as articles
from inventory.base.finding import HITS as HITS
from inventory.deliveries import selectors as deliveries
from inventory.materials import selectors as materials
from inventory.orders import selectors as orders
from inventory.skins import selectors as skins
from inventory.suppliers import selectors as suppliers
from inventory.templatetags import figures


@dataclass(frozen=True)
class Kind:
    """A kind of thing: how it is searched, the number or code it is called by (empty: only a name), what is said of one, and
    whether that is `money`, which not everybody may read.
    """

    title: str
    search: Callable[[str], Iterable[Any]]
    key: str
    about: Callable[[Any], str]
    money: bool = False


@dataclass(frozen=True)
class Hit:
    """`name` as on its label or paper; `exact` where that is just what was asked for."""

    thing: Model
    name: str
    about: str
    exact: bool


KINDS = (
    Kind("Articles", articles.search, "number", lambda row: f"{row.kind}{', gone' if row.gone_on else ''}"),
    Kind("Skins", skins.search, "tag", lambda row: f"{row.species}, {row.get_stage_display().lower()}"),
    Kind("Batches", batches.search, "number", lambda row: f"{row.version}, {row.get_state_display().lower()}"),
    Kind("Frames", frames.search, "number", lambda row: str(row.note)),
    Kind("Materials", materials.search, "code", lambda row: str(row.name)),
    Kind("Jobs", jobs.search, "number", lambda row: f"{row.customer}: {row.work}"),
    Kind(
        "Papers",
        sales.search,
        "number",
        lambda row: f"{row.get_kind_display()}, {row.customer or 'over the counter'}, {formats.day(row.on)}",
        money=True,
    ),
    Kind(
        "Receipts",
        payments.search,
        "number",
        lambda row: f"{figures.money(row.amount)} for {row.sale or row.job or row.customer}",
        money=True,
    ),
    Kind("Recipes", recipes.search, "code", lambda row: str(row.name)),
    Kind("Orders", orders.search, "number", lambda row: f"{row.supplier}, {formats.day(row.on)}"),
    Kind("Deliveries", deliveries.search, "ref", lambda row: f"{row.supplier}, {formats.day(row.on)}"),
    Kind("Customers", customers.search, "", lambda row: str(row.electronic_address or row.postal_address)),
    Kind("Suppliers", suppliers.search, "", lambda row: str(row.note)),
)


def found(words: str, *, money: bool = True) -> list[tuple[str, list[Hit]]]:
    """By kind what the words find; kinds without a hit are left out. Nothing is asked for no words, nor what is `money` for those
    who read none.
    """
    kinds = [kind for kind in KINDS if money or not kind.money] if words else []
    groups = [(kind.title, [_hit(kind, row, words) for row in kind.search(words)]) for kind in kinds]
    return [(title, hits) for title, hits in groups if hits]


def only(groups: Iterable[tuple[str, list[Hit]]]) -> Model | None:
    """The one thing that is called just so. A piece stands before the skin it is made of, which often has the same number."""
    exact = {title: hit.thing for title, hits in groups for hit in hits if hit.exact}
    if "Articles" in exact:
        exact.pop("Skins", None)
    return next(iter(exact.values())) if len(exact) == 1 else None


def _hit(kind: Kind, row: Any, words: str) -> Hit:
    name = str(getattr(row, kind.key)) if kind.key else str(row)
    return Hit(row, name, kind.about(row), exact=bool(kind.key) and name.casefold() == words.casefold())
