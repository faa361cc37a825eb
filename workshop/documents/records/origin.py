"""The origin pack of an article from its records: its skins, the batches they went through, what was read and put in, its sale."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import groupby

from django.db.models import Q
from django.utils import timezone

from costing.make.steps import selectors as steps
from costing.models import Batch, Reading, SaleLine, StepMark, Use
from costing.sell.sales import selectors as sales
from inventory import formats, units
from inventory.base import measures, selectors as workshop
from inventory.models import Article, Material, Movement, Skin
from inventory.money import ZERO
from inventory.substances import SUBSTANCES
from workshop.documents.kit import wording
from workshop.documents.kit.letter import Party
from workshop.documents.labels.care import method_line, one_line
from workshop.documents.records import articles
from workshop.documents.sales.origin_pack import OriginMaterial, OriginPack, OriginReading, OriginSkin, OriginStep
from workshop.documents.words import selectors as phrases, species
from workshop.documents.words.rules import Words


def origin_pack(number: str, *, buyer: bool = False, language: str = "") -> OriginPack:
    """What is on record of an article up to the day it was finished. `buyer`: name who bought it."""
    row, words = articles.article(number), phrases.of(language)
    label, maker = replace(articles.care_label(number), words=words), workshop.current()
    skins = [part.skin for part in row.parts.all()]
    batches = articles.batches(row)
    sold = sales.selling_line([row.pk]).get(row.pk)
    return OriginPack(
        maker=Party(
            ", ".join(filter(None, (maker.name, maker.maker))), one_line(maker.postal_address), maker.electronic_address
        ),
        article=row.number,
        headline=label.headline,
        method=method_line(label, words),
        area=wording.raised(label.area_text),
        finished=row.finished_on,
        printed=workshop.today(),
        skins=tuple(_skin(skin, words) for skin in skins),
        batches=tuple(_named(batch) for batch in batches),
        steps=tuple(each for batch in batches for each in _steps(batch, row.finished_on)),
        readings=tuple(_readings(batches, skins, row.finished_on)),
        materials=tuple(_materials(batches, skins, row.finished_on)),
        sale=sold.sale.number if sold else "",
        sold_on=sold.sale.on if sold else None,
        buyer=_buyer(sold) if sold and buyer else "",
        job=_job(row, skins),
        words=words,
    )


def _named(batch: Batch) -> str:
    return f"{batch.number}: {batch.version.recipe.name or batch.version}"


def _skin(skin: Skin, words: Words) -> OriginSkin:
    area = skin.dry_area or skin.wet_area
    return OriginSkin(
        tag=skin.tag,
        species=", ".join(filter(None, (wording.opened(species.named(skin.species, words)), skin.sex_age))),
        origin=skin.origin,
        received=skin.date_in,
        came_from=skin.supplier.name if skin.supplier else "",
        how=skin.source,
        weight=units.show(skin.green_weight, skin.weight_unit, "g") if skin.green_weight else "",
        area=wording.raised(measures.area(area)) if area else "",
    )


def _steps(batch: Batch, until: date) -> Iterator[OriginStep]:
    """What was logged, what was repeated told once with its first and its last day."""
    marks = steps.standing_rows(batch, until)
    for (repeat, does), group in groupby(marks, key=_does):
        rows = list(group)
        skipped = rows[0].kind == StepMark.Kind.SKIPPED
        yield OriginStep(batch.number, does, rows[0].on, rows[-1].on, len(rows) if repeat else 1, skipped)


def _does(mark: StepMark) -> tuple[bool, str]:
    repeat = mark.kind == StepMark.Kind.REPEAT
    return repeat, mark.step.repeat if repeat else mark.step.does


def _readings(batches: Sequence[Batch], skins: Sequence[Skin], until: date) -> Iterator[OriginReading]:
    """Those that stand and have a figure, of the batches and of these skins; notes are the maker's own."""
    figure = Q(ph__isnull=False) | Q(celsius__isnull=False) | Q(weight__isnull=False)
    mine = Q(skin__in=skins) | Q(batch__in=batches, skin__isnull=True)
    rows = Reading.objects.filter(figure, mine, reversed_at__isnull=True).select_related("batch", "skin")
    for row in rows.order_by("at", "pk"):
        on = timezone.localtime(row.at).date()
        if on > until:
            continue
        unit = row.skin.weight_unit if row.skin else measures.weight_unit()
        yield OriginReading(
            on=on,
            of=row.skin.tag if row.skin else row.batch.number if row.batch else "",
            ph="" if row.ph is None else formats.plain(row.ph),
            warmth="" if row.celsius is None else measures.warmth(row.celsius),
            weight="" if row.weight is None else units.show(row.weight, unit, "g"),
        )


def _materials(batches: Sequence[Batch], skins: Sequence[Skin], until: date) -> Iterator[OriginMaterial]:
    """What the recipe asks for and what is an exact substance; gloves, tags and cord are no part of the skin."""
    rows = (
        Movement.objects.filter(Q(posting__use__batch__in=batches) | Q(posting__use__skins__in=skins))
        .filter(posting__reverses__isnull=True, posting__reversed_by__isnull=True, on__lte=until)
        .filter(
            ~Q(material__substance="") | Q(material__recipe_lines__version__in=[batch.version_id for batch in batches])
        )
        .select_related("material", "posting__use__batch")
        .order_by("on", "pk")
        .distinct()
    )
    found: dict[tuple[str, int], list[Movement]] = defaultdict(list)
    for row in rows:
        found[_for(row.posting.use), row.material_id].append(row)
    for (used_for, _), moved in found.items():
        material = moved[0].material
        amount = units.show(-sum((row.quantity for row in moved), ZERO), material.unit, material.base)
        yield OriginMaterial(material.name, _substance(material), used_for, moved[0].on, moved[-1].on, amount)


def _for(use: Use) -> str:
    return use.batch.number if use.batch else ", ".join(_tags(use.skins.all()))


def _tags(skins: Iterable[Skin]) -> list[str]:
    return sorted(skin.tag for skin in skins)


def _substance(material: Material) -> str:
    """Its exact name, where the maker's does not say it already, and its formula."""
    known = SUBSTANCES.get(material.substance)
    if known is None:
        return ""
    name = "" if known.name.casefold() in material.name.casefold() else known.name
    return ", ".join(filter(None, (name, wording.formula(known.formula))))


def _buyer(line: SaleLine) -> str:
    return line.sale.customer.name if line.sale.customer else str(line.sale.buyer.get("name", ""))


def _job(row: Article, skins: Sequence[Skin]) -> str:
    job = getattr(skins[0], "job", None) if row.customers and skins else None
    return job.number if job else ""
