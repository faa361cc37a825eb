"""What needs more than one call of a service a row: suppliers, materials, skins, jobs, fairs with their pack lists."""

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

from costing.make.cost.reallocation import selectors as reallocation
from costing.models import Fair, Job, Sale
from costing.sell.fairs import services as fairs
from costing.sell.jobs import services as jobs
from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.payments.debtors import services as debtors
from inventory import units
from inventory.errors import Refused
from inventory.materials import services as materials
from inventory.models import Article, Material, Skin, Supplier
from inventory.skins import services as skins
from inventory.suppliers import services as suppliers
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.session import ImportSession

# Weights of a skin, and the column of each in kilograms.
WEIGHTS = {"green_weight": "green_kg", "dry_weight": "dry_kg"}

FirstPlace = Callable[[Article | Skin | Material], str]


def saved_materials(openings: dict[int, dict[str, Any]], first_place: FirstPlace) -> Iterator[Cells]:
    """`openings`: the opening columns of each material that has an opening, by its id."""
    for row in sorted(Material.objects.select_related("supplier", "place"), key=lambda row: row.code):
        pack = None if row.pack_quantity is None else units.least(row.pack_quantity, row.unit)
        least = None if row.min_order is None else units.least(row.min_order, row.unit)
        opening = openings.get(row.pk, {})
        yield FILES["materials.csv"].cells(row, pack_quantity=pack, min_order=least, place=first_place(row), **opening)


def saved_skins(first_place: FirstPlace) -> Iterator[Cells]:
    rows = Skin.objects.select_related("place", "supplier")
    for row in sorted(rows, key=lambda row: (row.date_in, row.tag)):
        price = row.price if row.owner == Skin.Owner.MINE else None
        yield FILES["skins.csv"].cells(row, price=price, place=first_place(row), **_as_told(row))


def _as_told(skin: Skin) -> dict[str, Any]:
    """Weights that were not told in kilograms, in the unit they were."""
    unit = skin.weight_unit
    if unit == "kg":
        return {}
    return {
        **dict.fromkeys(WEIGHTS.values()),
        **{name: units.least(held, unit, "g") for name in WEIGHTS if (held := getattr(skin, name)) is not None},
    }


def saved_losses() -> Iterator[Cells]:
    """A loss that could be allocated to no other skin is written off, whatever was wished for."""
    allocated = {each.skin.pk for each in reallocation.standing()}
    for skin in sorted(Skin.objects.filter(stage=Skin.Stage.LOST), key=lambda row: (row.lost_on, row.tag)):
        yield FILES["losses.csv"].cells(skin, spread=skin.pk in allocated)


def write_supplier(*, name: str, **said: Any) -> Supplier:
    return suppliers.describe(supplier=suppliers.named(name=name), **said)


def write_material(*, code: str, **details: Any) -> Material:
    """Its opening is an entry of the ledger, which comes later."""
    return materials.create(code=code, details=materials.Details(**details))


def load_skins(session: ImportSession) -> None:
    """A weight is in kilograms under its old heading, or in the unit of the row."""
    for row in session.rows("skins.csv"):
        with session.writing(row):
            said = session.arguments(row)
            for name, kilograms in WEIGHTS.items():
                if row[name] is not None and row[kilograms] is not None:
                    raise Refused(f"One weight is enough: leave {kilograms} or {name} empty.", field=name)
                if row[name] is not None:
                    said[name] = units.to_base(row[name], row["unit"], "g", name=row["tag"])
            session.keep(row, skins.take_in(tag=said.pop("tag"), details=skins.Details(**said)))


def saved_jobs() -> Iterator[Cells]:
    for row in sorted(Job.objects.select_related("customer", "skin"), key=lambda row: (row.taken_on, row.number)):
        yield FILES["jobs.csv"].cells(row, given_back=row.given_back if row.given_up_on else None)


def saved_fairs() -> Iterator[Cells]:
    rows = Fair.objects.select_related("place").prefetch_related("pieces__article")
    for row in sorted(rows, key=lambda row: (row.on, row.name)):
        pieces = sorted(row.pieces.all(), key=lambda piece: piece.pk)
        yield FILES["fairs.csv"].cells(
            row,
            pieces=[piece.article.number for piece in pieces],
            back=[piece.article.number for piece in pieces if piece.back],
        )


def write_job(
    *, ready_on: date | None, given_up_on: date | None, given_up_why: str, given_back: bool, **agreed: Any
) -> Job:
    """The hand-over is the sale of the work, which comes later."""
    job = jobs.take(**agreed)
    if ready_on:
        jobs.ready(job=job, on=ready_on)
    if given_up_on:
        cancellations.take_over(job=job, on=given_up_on, reason=given_up_why, back=given_back)
    return job


def saved_debtors() -> Iterator[Cells]:
    rows = Sale.objects.filter(kind=Sale.Kind.OPENING).select_related("customer").prefetch_related("lines")
    for row in rows.order_by("pk"):
        (line,) = row.lines.all()
        yield FILES["debtors.csv"].cells(row, amount=row.gross, tax_percent=line.tax_percent)


def load_debtors(session: ImportSession) -> None:
    """Payments and credits name them as they name any other paper."""
    for row in session.rows("debtors.csv"):
        with session.writing(row):
            made = debtors.take_over(**session.arguments(row))
            session.keep(row, made)
            session.known["sales.csv"][made.number] = made


def load_pack_lists(session: ImportSession) -> None:
    """What went to each fair and came back. Where it was meanwhile is in moves.csv."""
    for row in session.rows("fairs.csv"):
        if not (row["pieces"] or row["back"] or row["closed_on"]):
            continue
        with session.checking(row):
            packed, back = (
                [session.find("articles.csv", number, column) for number in row[column]]
                for column in ("pieces", "back")
            )
            fair = session.find("fairs.csv", row.name, "name")
            fairs.take_over(fair=fair, packed=packed, back=back, closed_on=row["closed_on"])
