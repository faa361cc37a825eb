"""Every cost line that stands on a day, as the roll-up takes it: of batches, and of skins by name outside any batch."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Prefetch, Q, prefetch_related_objects

from costing.make.batches.models import Batch, Use
from costing.make.cost.lines.rules import Line
from costing.make.frames import selectors as frames
from costing.make.labour.models import LabourLine
from inventory.models import Movement, Skin

NEVER = date.max


@dataclass(frozen=True)
class _Written:
    """Every cost line: by batch (its key), and by tag of those that are on no batch."""

    of_batch: dict[int, list[Line]]
    of_skin: dict[str, list[Line]]


_written: ContextVar[_Written | None] = ContextVar("every cost line, read once", default=None)


@contextmanager
def lines_known() -> Iterator[None]:
    """Within this block nothing is used and nothing is worked, only skins leave their batches: the lines are read once."""
    of_skin: dict[str, list[Line]] = defaultdict(list)
    of_batch, named = lines(Batch.objects.all(), Skin.objects.all())
    for line in named:
        for tag in line.skins:
            of_skin[tag].append(line)
    token = _written.set(_Written(of_batch, of_skin))
    try:
        yield
    finally:
        _written.reset(token)


def batch_lines(batches: Iterable[Batch], until: date | None = None) -> dict[int, list[Line]]:
    """By batch id: every cost line on it, taken-back ones left out."""
    return lines(batches, (), until)[0]


def lines(
    batches: Iterable[Batch], skins: Iterable[Skin], until: date | None = None
) -> tuple[dict[int, list[Line]], list[Line]]:
    """By batch id every cost line on it, and those on these skins by name outside any batch; taken-back ones left out.

    Both at once, since asking for either is half a dozen queries."""
    batches, skins = list(batches), list(skins)
    if until is None and (known := _written.get()) is not None:
        return known.of_batch, list(
            {id(line): line for skin in skins for line in known.of_skin.get(skin.tag, ())}.values()
        )
    found: dict[int, list[Line]] = defaultdict(list)
    used, worked = (Q(pk__in=model.objects.filter(skins__in=skins).values("pk")) for model in (Use, LabourLine))
    for use in _uses(Q(batch__in=batches) | Q(batch__isnull=True) & used, until):
        found[use.batch_id or 0].extend(use_lines(use))
    for labour, line in labour_lines(_labour(Q(batch__in=batches) | Q(batch__isnull=True) & worked, until)):
        found[labour.batch_id or 0].append(line)
    return found, found.pop(0, [])


def weight(share_by: str, skin: Skin) -> Fraction:
    if share_by == Batch.ShareBy.WEIGHT:
        return Fraction(skin.green_weight or 0)
    if share_by == Batch.ShareBy.AREA:
        return Fraction(skin.wet_area or skin.dry_area or 0)
    return Fraction(1)


def use_lines(use: Use) -> Iterator[Line]:
    named = list(use.skins.all())
    tags = tuple(skin.tag for skin in named)
    weights = {}
    if use.share_by:
        sharers = named or [stay.skin for stay in use.batch.stays.all()] if use.batch else named
        weights = {skin.tag: weight(use.share_by, skin) for skin in sharers}
    for movement in use.posting.movements.all():
        yield Line("materials", movement.on, money=-movement.value, skins=tags, weights=weights)


def with_sharers(uses: Iterable[Use]) -> list[Use]:
    """Uses, those that are shared in a way of their own with the skins of their batch at hand."""
    found = list(uses)
    prefetch_related_objects([use for use in found if use.share_by], "batch__stays__skin")
    return found


def labour_lines(rows: Iterable[LabourLine]) -> list[tuple[LabourLine, Line]]:
    """Lines of work as the roll-up takes them, with what lacing wore off the frames that were named."""
    found = list(rows)
    laced = [row.pk for row in found if row.laced]
    worn = frames.worn(laced) if laced else {}
    return [(row, _labour_line(row, worn.get(row.pk, {}))) for row in found]


def _labour_line(labour: LabourLine, worn: Mapping[str, Decimal]) -> Line:
    tags = tuple(skin.tag for skin in labour.skins.all())
    own = not labour.paid
    return Line(
        "own_time" if own else "paid_help",
        labour.on,
        money=labour.paid,
        minutes=labour.minutes,
        skins=tags,
        laced=labour.laced,
        own=own,
        worn=worn,
    )


def _uses(which: Q, until: date | None) -> Iterable[Use]:
    """Uses that stand on `until`: not reversed by then."""
    day = until or NEVER
    return with_sharers(
        Use.objects.filter(which, posting__on__lte=day)
        .exclude(posting__reversed_by__on__lte=day)
        .select_related("posting")
        .prefetch_related("skins", Prefetch("posting__movements", queryset=Movement.objects.order_by("pk")))
        .order_by("posting__on", "pk")
    )


def _labour(which: Q, until: date | None) -> Iterable[LabourLine]:
    day = until or NEVER
    return (
        LabourLine.objects.filter(which, on__lte=day, reverses__isnull=True)
        .exclude(reversed_by__on__lte=day)
        .prefetch_related("skins")
        .order_by("on", "pk")
    )
