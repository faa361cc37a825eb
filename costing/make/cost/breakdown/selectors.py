"""Every cost line with where it came from and what a skin bears of it: the trail from a figure back to its entries."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Prefetch, Q, QuerySet

from costing.make.batches.models import Batch, BatchSkin, Use
from costing.make.cost import rules as cost_rules, selectors as cost_read
from costing.make.cost.lines import selectors as lines_read
from costing.make.cost.lines.rules import Kind, Line, Stay
from costing.make.cost.rates.rules import Rates
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.cost.rules import RoundedCost, Share
from costing.make.frames.models import Lacing
from costing.make.labour.models import LabourLine
from inventory import formats, money, units
from inventory.base import measures, selectors as workshop
from inventory.models import Movement, Skin


@dataclass(frozen=True)
class Entry:
    """One line: `share` is what the skin asked for bears of it. `posting` (its id) for materials, `labour` for work."""

    on: date
    kind: Kind
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


def lines_of(uses: Iterable[Used], labour: Iterable[LabourLine]) -> list[Line]:
    """The lines that these entries of a batch are for its cost, taken-back ones left out."""
    used = lines_read.with_sharers(each.use for each in uses if not hasattr(each.use.posting, "reversed_by"))
    worked = lines_read.labour_lines(row for row in labour if not hasattr(row, "reversed_by"))
    return [*(line for use in used for line in lines_read.use_lines(use)), *(line for _, line in worked)]


def measure(movement: Movement) -> str:
    """What was taken as it was typed, with what that is in the unit the maker speaks of where that is another."""
    own = units.show(abs(movement.quantity), movement.material.unit)
    unit = movement.typed.rpartition(" ")[2]
    known = unit in units.KNOWN and unit != movement.material.unit
    return f"{measures.said(movement.typed)} ({own})" if known else own


BEFORE = "Work before the books began"


def labour_of(batch: Batch) -> QuerySet[LabourLine]:
    """Every labour line of a batch but the ones that only take another back, newest first."""
    return _labour(Q(batch=batch)).order_by("-on", "-pk")


def of_skins(skins: Iterable[Skin]) -> dict[str, list[Entry]]:
    """By tag: every line that the skin bears something of, oldest first. Constant number of queries."""
    wanted = list(skins)
    tags = {skin.tag for skin in wanted}
    batches: dict[int, Batch] = {}
    stays: dict[int, list[BatchSkin]] = defaultdict(list)
    theirs = BatchSkin.objects.filter(skin__in=wanted).order_by().values("batch")
    for stay in BatchSkin.objects.filter(batch__in=theirs).select_related("skin", "batch"):
        batches[stay.batch_id] = stay.batch
        stays[stay.batch_id].append(stay)
    shared = {pk: cost_read.as_stays(batch.share_by, stays[pk]) for pk, batch in batches.items()}
    found: dict[str, list[Entry]] = {tag: [] for tag in tags}
    for line, source in _lines(batches, wanted):
        there: Sequence[Stay] = (
            shared.get(source.batch.pk, ()) if source.batch else [Stay(tag, line.on) for tag in line.skins]
        )
        shares, _ = cost_rules.share_out([line], there)
        for tag in tags & shares.keys():
            if shares[tag] != Share():
                found[tag].append(Entry(**{**vars(source), "share": shares[tag]}))
    for tag, entry in _losses(wanted):
        found[tag].append(entry)
    for skin in wanted:
        if skin.minutes_before:
            before = cost_read.brought_along(skin) + Share(skin_price=-Fraction(skin.price))
            said = f"{skin.minutes_before.normalize():f} min"
            found[skin.tag].append(Entry(skin.date_in, "own_time", BEFORE, said, None, None, None, before))
    return {tag: sorted(entries, key=lambda entry: entry.on) for tag, entries in found.items()}


def _losses(skins: Sequence[Skin]) -> Iterator[tuple[str, Entry]]:
    """What these skins bear of others lost beside them; of a skin whose own loss is borne by others, what that takes off."""
    losses = reallocation.behind((skin.pk for skin in skins), reallocation.standing())
    if not losses:
        return
    whole = cost_read.lost_shares([each.skin for each in losses])
    tags = {skin.tag for skin in skins}
    for each in losses:
        stays, borne = cost_read.borne_of(each, whole[each.skin.tag])
        for tag in tags & borne.keys():
            words = f"Loss of {each.skin.tag}"
            yield tag, Entry(each.on, "skin_price", words, "its part of it", each.batch, None, None, borne[tag])
        if each.skin.tag in tags:
            off = stays + whole[each.skin.tag].times(-1)
            words = f"Reallocated to {', '.join(borne)}"
            yield each.skin.tag, Entry(each.on, "skin_price", words, "", each.batch, None, None, off)


def _lines(batches: dict[int, Batch], skins: Sequence[Skin]) -> Iterator[tuple[Line, Entry]]:
    direct = Q(batch__isnull=True)
    stands = Q(posting__reversed_by__isnull=True, posting__reverses__isnull=True)
    named_uses = Use.objects.filter(skins__in=skins).values("pk")
    for use in lines_read.with_sharers(_uses(stands & (Q(batch__in=batches) | direct & Q(pk__in=named_uses)))):
        for line, movement in zip(lines_read.use_lines(use), use.posting.movements.all(), strict=True):
            batch = batches.get(use.batch_id or 0)
            name, said = movement.material.name, measure(movement)
            yield line, Entry(use.posting.on, "materials", name, said, batch, use.posting_id, None, Share())
    named_work = LabourLine.objects.filter(skins__in=skins).values("pk")
    work = _labour(Q(reversed_by__isnull=True) & (Q(batch__in=batches) | direct & Q(pk__in=named_work)))
    for labour, line in lines_read.labour_lines(work):
        batch = batches.get(labour.batch_id or 0)
        minutes = f"{formats.plain(labour.minutes)} min"
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
        .prefetch_related("skins", Prefetch("lacings", queryset=Lacing.objects.select_related("frame", "skin")))
        .order_by("on", "pk")
    )


@dataclass(frozen=True)
class Part:
    """`book` None: the part is never in book cost. Both are plain texts of money."""

    name: str
    book: str | None
    full: str
    source: str


@dataclass(frozen=True)
class Sources:
    """Where the money came from, in words."""

    skin: str = ""
    materials: str = ""
    paid_help: str = ""


def of(share: Share, rates: Rates, cost: RoundedCost, sources: Sources) -> list[Part]:
    """Skin, materials, paid help, own time, overhead and frame wear; what is nothing and has no source is left out."""
    currency = workshop.current().currency
    hours, own = share.hours(), share.own_hours()

    def text(value: Decimal) -> str:
        return money.figure(value, currency)

    paid = [
        ("Skin", cost.skin_price, sources.skin),
        ("Materials", cost.materials, sources.materials),
        ("Paid help", cost.paid_help, sources.paid_help),
    ]
    unpaid = [
        ("My time", cost.own_time, f"{_figure(own)} h at {text(rates.wage_per_hour)} an hour" if own else ""),
        ("Overhead", cost.overhead, f"{_figure(hours)} h at {text(rates.overhead_per_hour)} an hour" if hours else ""),
        ("Frame wear", cost.frame_wear, _worn(share, text(rates.frame_wear))),
    ]
    if cost.left_over:
        unpaid.append(("Rounding", cost.left_over, "of pieces finished together"))
    return [Part(name, text(value), text(value), source) for name, value, source in paid if value or source] + [
        Part(name, None, text(value), source) for name, value, source in unpaid if value or source
    ]


def late(book: Decimal, full: Decimal) -> list[Part]:
    """What was written after the piece was finished, as a part of its own."""
    if not book and not full:
        return []
    currency = workshop.current().currency
    return [Part("Late", money.figure(book, currency), money.figure(full, currency), "written after it was finished")]


def told(entries: Sequence[Entry], share: Share, cost: RoundedCost) -> list[tuple[Entry, Decimal]]:
    """Each line with the money to show of it: lines of materials and of paid help add up to those parts of the cost, unless the
    loss of another skin is in them too."""
    places = workshop.places()
    shown = [money.half_up(entry.share.book(), places) for entry in entries]
    for kind in ("materials", "paid_help"):
        rows = [at for at, entry in enumerate(entries) if entry.kind == kind]
        exact: list[Fraction] = [getattr(entries[at].share, kind) for at in rows]
        if sum(exact, Fraction(0)) == getattr(share, kind):
            for at, value in zip(rows, money.parts_of(getattr(cost, kind), exact, places), strict=True):
                shown[at] = value
    return list(zip(entries, shown, strict=True))


def sources(skins: Sequence[Skin], entries: Iterable[Entry], part: Fraction = Fraction(1)) -> Sources:
    """Words for the sources of one or several skins, of which a piece bears `part`."""
    found = list(entries)
    of_it = "" if part == 1 else f"{part} of "
    losses = dict.fromkeys(entry.what for entry in found if entry.kind == "skin_price")
    return Sources(
        skin=of_it + "; ".join([*(_bought(skin) for skin in skins), *losses]),
        materials=_counted([entry for entry in found if entry.kind == "materials"], of_it),
        paid_help=_counted([entry for entry in found if entry.kind == "paid_help"], of_it),
    )


def sources_of_batch(heads: int) -> Sources:
    """Words for the sources of a batch of so many skins, whose entries stand beside them."""
    skins = f"what {heads} skin{'' if heads == 1 else 's'} cost" if heads else ""
    return Sources(skin=skins, materials="materials issued, listed above")


def _bought(skin: Skin) -> str:
    if skin.owner == Skin.Owner.CUSTOMER:
        return f"{skin.tag}, a customer's own"
    whence = f" from {skin.supplier.name}" if skin.supplier else ""
    return f"{skin.tag}{whence}, {formats.day(skin.date_in)}"


def _counted(entries: Sequence[Entry], of_it: str) -> str:
    if not entries:
        return ""
    batches = dict.fromkeys(entry.batch.number for entry in entries if entry.batch)
    places = [f"batch {number}" for number in batches] + (
        ["straight on the skin"] if any(not e.batch for e in entries) else []
    )
    lines = len({(entry.posting, entry.labour and entry.labour.pk, entry.what) for entry in entries})
    return f"{of_it}its share of {lines} line{'' if lines == 1 else 's'}: {', '.join(places)}"


def _figure(value: Fraction) -> str:
    return formats.figure(money.half_up(value, 2))


def _worn(share: Share, rate: str) -> str:
    """Where frame wear comes from: the workshop's rate, frames that were named, or both."""
    at_rate = [f"{_lacings(share.laces)} at {rate}"] if share.laces else []
    named = [f"{_lacings(share.framed)} on numbered frames"] if share.framed else []
    return "; ".join([*at_rate, *named])


def _lacings(laces: Fraction) -> str:
    if laces == 1:
        return "1 lacing"
    whole = laces.denominator == 1
    return f"{laces if whole else _figure(laces)} lacing{'s' if laces > 1 else ''}"
