"""What frames have cost, what each lacing wore off, what is left, and which skin is on which. Reads only.

Nothing of it is stored: it is worked out from a frame's entries in the order of their days, so it cannot drift from them.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Exists, OuterRef, Q, QuerySet, Sum

from costing.make.batches.models import Use
from costing.make.cost.rates import selectors as rates_read
from costing.make.cost.rates.models import Rates
from costing.make.frames import rules
from costing.make.frames.models import Frame, Lacing, Repair
from inventory import money, units
from inventory.base import selectors as workshop
from inventory.base.finding import hits
from inventory.models import Movement, Skin
from inventory.money import ZERO
from inventory.units import MINUTES_PER_HOUR


@dataclass(frozen=True)
class Put:
    """What went into a frame at once: `book` is money (materials and what was paid), `time` its minutes with the overhead."""

    on: date
    what: str
    book: Decimal
    time: Decimal = ZERO
    minutes: Decimal = ZERO
    lacings: int = 0
    movement: Movement | None = None
    repair: Repair | None = None

    @property
    def full(self) -> Decimal:
        return self.book + self.time

    @property
    def quantity(self) -> str:
        """Of a material, how much of it, in its own unit."""
        row = self.movement
        return units.show(-row.quantity, row.material.unit) if row else ""


@dataclass(frozen=True)
class Account:
    """One frame's books. `holds`: the lacing of the skin that is on it now."""

    frame: Frame
    puts: tuple[Put, ...]
    lacings: tuple[tuple[Lacing, Decimal], ...]
    left: Decimal
    lacings_left: int
    holds: Lacing | None

    @property
    def book(self) -> Decimal:
        return sum((put.book for put in self.puts), ZERO)

    @property
    def full(self) -> Decimal:
        return sum((put.full for put in self.puts), ZERO)

    @property
    def minutes(self) -> Decimal:
        return sum((put.minutes for put in self.puts), ZERO)

    @property
    def worn(self) -> Decimal:
        return sum((wear for _, wear in self.lacings), ZERO)

    @property
    def next_wear(self) -> Decimal:
        """What the next lacing would wear off."""
        return rules.wear(self.left, self.lacings_left, workshop.places())


def standing() -> QuerySet[Lacing]:
    """Lacings whose line of work was not reversed, in the order of their days."""
    # Said in this way round the lines are found by their lacings: SQLite takes "is null" of a unique column for a single row.
    rows = Lacing.objects.exclude(line__reverses__isnull=False).filter(line__reversed_by__isnull=True)
    return rows.select_related("line", "skin", "frame").order_by("line__on", "pk")


def still_on() -> QuerySet[Lacing]:
    """Those that hold their skin now: not taken off, neither skin nor frame laced since, the skin not finished and not lost."""
    since = Q(line__on__gt=OuterRef("line__on")) | Q(line__on=OuterRef("line__on"), pk__gt=OuterRef("pk"))
    later = standing().filter(since).filter(Q(skin=OuterRef("skin")) | Q(frame=OuterRef("frame")))
    alive = standing().filter(off_on__isnull=True, skin__stage__in=[Skin.Stage.RAW, Skin.Stage.IN_WORK])
    return alive.filter(~Exists(later))


def listed() -> QuerySet[Frame]:
    """Frames ready to list, broken ones last."""
    return Frame.objects.select_related("place").order_by("broken_on", "number")


def whole() -> QuerySet[Frame]:
    """Frames that can be laced."""
    return Frame.objects.filter(broken_on__isnull=True).order_by("number")


def search(words: str) -> QuerySet[Frame]:
    """Frames by number, place and note."""
    return hits(Frame.objects.select_related("place"), words, ("number", "place__name", "note"))


def accounts(frames: Iterable[Frame]) -> dict[int, Account]:
    """By id, however many frames: four queries and the rates."""
    rows = list(frames)
    if not rows:
        return {}
    history = rates_read.history()
    puts: dict[int, list[Put]] = defaultdict(list)
    for frame in rows:
        time = _time(frame.minutes, history.at(frame.made_on))
        puts[frame.pk].append(Put(frame.made_on, "Made", frame.cost, time, frame.minutes, frame.lacings))
    moved = Movement.objects.filter(posting__use__frame__in=rows, posting__reversed_by__isnull=True)
    for row in moved.select_related("material", "posting__use__repair").order_by("on", "pk"):
        puts[row.posting.use.frame_id or 0].append(Put(row.on, row.material.name, -row.value, movement=row))
    for repair in _repairs(rows).select_related("use").order_by("on", "pk"):
        time = _time(repair.minutes, history.at(repair.on))
        again = Put(repair.on, repair.what, repair.cost, time, repair.minutes, repair.lacings, repair=repair)
        puts[repair.frame_id].append(again)
    laced: dict[int, list[Lacing]] = defaultdict(list)
    for lacing in standing().filter(frame__in=rows):
        laced[lacing.frame_id].append(lacing)
    holds = holding(each[-1].pk for each in laced.values())
    return {frame.pk: _account(frame, puts[frame.pk], laced[frame.pk], holds.get(frame.pk)) for frame in rows}


def left(frames: Iterable[Frame]) -> dict[int, rules.Worn]:
    """By id what each lacing wore off and what is left, as `accounts` tells it, from plain figures: nothing of its entries is read
    that the split does not ask."""
    rows = list(frames)
    history, puts, laced = (
        rates_read.history(),
        defaultdict[int, list[rules.Put]](list),
        defaultdict[int, list[rules.Laced]](list),
    )
    for frame in rows:
        full = frame.cost + _time(frame.minutes, history.at(frame.made_on))
        puts[frame.pk].append(rules.Put(frame.made_on, full, frame.lacings))
    moved = Movement.objects.filter(posting__use__frame__in=rows, posting__reversed_by__isnull=True).order_by()
    for pk, on, value in moved.values_list("posting__use__frame", "on").annotate(Sum("value")):
        puts[pk].append(rules.Put(on, -value))
    again = _repairs(rows).values_list("frame", "on", "cost", "minutes", "lacings")
    for pk, on, cost, minutes_, lacings in again:
        puts[pk].append(rules.Put(on, cost + _time(minutes_, history.at(on)), lacings))
    for pk, on, key in standing().filter(frame__in=rows).values_list("frame", "line__on", "pk"):
        laced[pk].append(rules.Laced(on, key))
    return {frame.pk: rules.worn(puts[frame.pk], laced[frame.pk], workshop.places()) for frame in rows}


def holding(last: Iterable[int]) -> dict[int, Lacing]:
    """By frame, of the last lacings (ids) on some frames those that hold their skin now."""
    return {lacing.frame_id: lacing for lacing in still_on().filter(pk__in=list(last))}


def worn(lines: Iterable[int]) -> dict[int, dict[str, Decimal]]:
    """By line of work (ids) and tag: what lacing this skin wore off the frame that was named for it."""
    laced = list(standing().filter(line__in=list(lines)))
    of_frames = left({lacing.frame_id: lacing.frame for lacing in laced}.values()) if laced else {}
    found: dict[int, dict[str, Decimal]] = defaultdict(dict)
    for lacing in laced:
        found[lacing.line_id][lacing.skin.tag] = of_frames[lacing.frame_id].wears[lacing.pk]
    return found


def made(within: tuple[date, date]) -> QuerySet[Frame]:
    """Frames made in a time; one that is older than the books counts on its day."""
    return Frame.objects.filter(made_on__range=within)


def repaired(within: tuple[date, date]) -> QuerySet[Repair]:
    """Repairs in a time; those that were taken back cancel."""
    return Repair.objects.filter(on__range=within)


def into_frames(rows: QuerySet[Movement]) -> Decimal:
    """What of these movements went into frames, in money; what was reversed cancels."""
    return -(moved_into(rows).aggregate(v=Sum("value"))["v"] or ZERO)


def moved_into(rows: QuerySet[Movement]) -> QuerySet[Movement]:
    """Of these movements those of materials for frames, and their reversals: found by the frames, of which there are few."""
    postings = Use.objects.filter(frame__isnull=False).values("posting")
    return rows.filter(Q(posting__in=postings) | Q(posting__reverses__in=postings))


def _repairs(frames: Iterable[Frame]) -> QuerySet[Repair]:
    """Those that stand."""
    return Repair.objects.filter(frame__in=frames, reverses__isnull=True, reversed_by__isnull=True)


def _time(minutes: Decimal, rates: Rates) -> Decimal:
    """Own minutes at the wage, with the overhead of the same hours; money to the coin."""
    hourly = Fraction(rates.wage_per_hour) + Fraction(rates.overhead_per_hour)
    return money.half_up(Fraction(minutes) / MINUTES_PER_HOUR * hourly, workshop.places())


def _account(frame: Frame, puts: list[Put], laced: list[Lacing], holds: Lacing | None) -> Account:
    found = rules.worn(
        [rules.Put(put.on, put.full, put.lacings) for put in puts],
        [rules.Laced(lacing.line.on, lacing.pk) for lacing in laced],
        workshop.places(),
    )
    return Account(
        frame=frame,
        puts=tuple(sorted(puts, key=lambda put: put.on)),
        lacings=tuple((lacing, found.wears[lacing.pk]) for lacing in laced),
        left=found.left,
        lacings_left=found.lacings,
        holds=holds,
    )
