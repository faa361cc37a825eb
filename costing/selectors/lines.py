"""Every cost line with where it came from and what a skin bears of it: the trail from a figure back to its entries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch, Q, QuerySet

from costing import rollup
from costing.models import Batch, BatchSkin, LabourLine, Use
from costing.rollup import Line, Share, Stay
from costing.selectors import costs, spread
from inventory import units
from inventory.models import Movement, Skin


@dataclass(frozen=True)
class Entry:
    """One line: `share` is what the skin asked for bears of it. `posting` (its id) for materials, `labour` for work."""

    on: date
    kind: rollup.Kind
    what: str
    measure: str
    batch: Batch | None
    posting: int | None
    labour: LabourLine | None
    share: Share


@dataclass(frozen=True)
class Used:
    """A use with what it took from the shelf: (movement, measure in words, cost as a positive sum)."""

    use: Use
    rows: list[tuple[Movement, str, Decimal]]


def uses_of(batch: Batch) -> list[Used]:
    """Every use of a batch, taken-back ones too, newest first."""
    found = _uses(Q(batch=batch)).order_by("-posting__on", "-pk")
    return [Used(use, [(row, measure(row), -row.value) for row in use.posting.movements.all()]) for use in found]


def measure(movement: Movement) -> str:
    """What was taken in the unit the maker speaks of, with the measure as typed where that was another."""
    own = units.show(abs(movement.quantity), movement.material.unit)
    amount, _, unit = movement.typed.rpartition(" ")
    known = unit in units.known() and unit != movement.material.unit
    return f"{own}, typed {amount} {units.label(unit)}" if known else own


def labour_of(batch: Batch) -> QuerySet[LabourLine]:
    """Every labour line of a batch but the ones that only take another back, newest first."""
    return _labour(Q(batch=batch)).order_by("-on", "-pk")


def of_skins(skins: Iterable[Skin]) -> dict[str, list[Entry]]:
    """By tag: every line that the skin bears something of, oldest first. Constant number of queries."""
    wanted = list(skins)
    tags = {skin.tag for skin in wanted}
    batches = {stay.batch_id: stay.batch for stay in BatchSkin.objects.filter(skin__in=wanted).select_related("batch")}
    stays: dict[int, list[BatchSkin]] = defaultdict(list)
    for stay in BatchSkin.objects.filter(batch__in=batches).select_related("skin"):
        stays[stay.batch_id].append(stay)
    shared = {pk: costs.as_stays(batch.share_by, stays[pk]) for pk, batch in batches.items()}
    found: dict[str, list[Entry]] = {tag: [] for tag in tags}
    for line, source in _lines(batches, wanted):
        there: Sequence[Stay] = (
            shared.get(source.batch.pk, ()) if source.batch else [Stay(tag, line.on) for tag in line.skins]
        )
        shares, _ = rollup.share_out([line], there)
        for tag in tags & shares.keys():
            if shares[tag] != Share():
                found[tag].append(Entry(**{**vars(source), "share": shares[tag]}))
    for tag, entry in _losses(wanted):
        found[tag].append(entry)
    return {tag: sorted(entries, key=lambda entry: entry.on) for tag, entries in found.items()}


def _losses(skins: Sequence[Skin]) -> Iterator[tuple[str, Entry]]:
    """What these skins bear of others lost beside them; of a skin whose own loss is borne by others, what that takes off."""
    losses = spread.behind((skin.pk for skin in skins), spread.standing())
    if not losses:
        return
    whole = costs.lost_shares([each.skin for each in losses])
    tags = {skin.tag for skin in skins}
    for each in losses:
        stays, borne = costs.borne_of(each, whole[each.skin.tag])
        for tag in tags & borne.keys():
            words = f"Loss of {each.skin.tag}"
            yield tag, Entry(each.on, "skin_price", words, "its part of it", each.batch, None, None, borne[tag])
        if each.skin.tag in tags:
            off = stays + whole[each.skin.tag].times(-1)
            words = f"Borne by {', '.join(borne)}"
            yield each.skin.tag, Entry(each.on, "skin_price", words, "", each.batch, None, None, off)


def _lines(batches: dict[int, Batch], skins: Sequence[Skin]) -> Iterator[tuple[Line, Entry]]:
    direct = Q(batch__isnull=True)
    stands = Q(posting__reversed_by__isnull=True, posting__reverses__isnull=True)
    named_uses = Use.objects.filter(skins__in=skins).values("pk")
    for use in _uses(stands & (Q(batch__in=batches) | direct & Q(pk__in=named_uses))):
        for line, movement in zip(costs.use_lines(use), use.posting.movements.all(), strict=True):
            batch = batches.get(use.batch_id or 0)
            name, said = movement.material.name, measure(movement)
            yield line, Entry(use.posting.on, "materials", name, said, batch, use.posting_id, None, Share())
    named_work = LabourLine.objects.filter(skins__in=skins).values("pk")
    for labour in _labour(Q(reversed_by__isnull=True) & (Q(batch__in=batches) | direct & Q(pk__in=named_work))):
        line = costs.labour_line(labour)
        batch = batches.get(labour.batch_id or 0)
        minutes = f"{labour.minutes.normalize():f} min"
        yield line, Entry(labour.on, line.kind, labour.task, minutes, batch, None, labour, Share())


def _uses(which: Q) -> QuerySet[Use]:
    movements = Movement.objects.select_related("material").order_by("pk")
    return (
        Use.objects.filter(which)
        .select_related("posting__reversed_by", "posting__written_by")
        .prefetch_related("skins", Prefetch("posting__movements", queryset=movements))
        .order_by("posting__on", "pk")
    )


def _labour(which: Q) -> QuerySet[LabourLine]:
    return (
        LabourLine.objects.filter(which, reverses__isnull=True)
        .select_related("reversed_by", "written_by")
        .prefetch_related("skins")
        .order_by("on", "pk")
    )
