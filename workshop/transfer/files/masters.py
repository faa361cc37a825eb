"""What is there before any event and needs more than one call of a service a row: suppliers, materials, skins."""

from collections.abc import Callable, Iterator
from typing import Any

from costing.make.cost.reallocation import selectors as reallocation
from inventory.materials import services as materials
from inventory.models import Article, Material, Skin
from inventory.skins import services as skins
from inventory.suppliers import services as suppliers
from workshop.transfer.format import writers
from workshop.transfer.format.columns import FILES, Cells

FirstPlace = Callable[[Article | Skin | Material], str]


def saved_materials(openings: dict[int, dict[str, Any]], first_place: FirstPlace) -> Iterator[Cells]:
    """`openings`: the opening columns of each material that has an opening, by its id."""
    for row in sorted(Material.objects.select_related("supplier", "place"), key=lambda row: row.code):
        pack = None if row.pack_quantity is None else writers.least(row.pack_quantity, row.unit)
        opening = openings.get(row.pk, {})
        yield FILES["materials.csv"].cells(row, pack_quantity=pack, place=first_place(row), **opening)


def saved_skins(first_place: FirstPlace) -> Iterator[Cells]:
    rows = Skin.objects.select_related("place", "supplier")
    for row in sorted(rows, key=lambda row: (row.date_in, row.tag)):
        price = row.price if row.owner == Skin.Owner.MINE else None
        yield FILES["skins.csv"].cells(row, price=price, place=first_place(row))


def saved_losses() -> Iterator[Cells]:
    """A loss that could be allocated to no other skin is written off, whatever was wished for."""
    allocated = {each.skin.pk for each in reallocation.standing()}
    for skin in sorted(Skin.objects.filter(stage=Skin.Stage.LOST), key=lambda row: (row.lost_on, row.tag)):
        yield FILES["losses.csv"].cells(skin, spread=skin.pk in allocated)


def write_supplier(*, name: str, note: str) -> None:
    supplier = suppliers.named(name=name)
    if note:
        suppliers.note(supplier=supplier, text=note)


def write_material(*, code: str, **details: Any) -> Material:
    """Its opening is an entry of the ledger, which comes later."""
    return materials.create(code=code, details=materials.Details(**details))


def write_skin(*, tag: str, **details: Any) -> Skin:
    return skins.take_in(tag=tag, details=skins.Details(**details))
