"""Reads of sessions: what runs now, which skins may be timed, and at what."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import Max, Prefetch, QuerySet
from django.utils import timezone

from costing.make.batches.models import Batch, BatchSkin
from costing.make.batches.stays import selectors as stays_read
from costing.make.labour import selectors as labour_read
from costing.make.labour.sessions.models import SessionSkin, WorkSession
from costing.make.recipes.models import TaskKind
from costing.make.steps.models import StepMark
from inventory.models import Skin

# Nobody works half a day on end: a timer that says so was forgotten.
LONGEST = timedelta(hours=12)

# What hands do to a skin by the hour, by the word and its kind. Offered until the maker's own sessions have named others.
USUAL_TASKS = {
    "soften": TaskKind.SOFTEN,
    "flesh": TaskKind.FLESH,
    "comb and trim": TaskKind.FINISH,
    "lace": TaskKind.LACE,
}
OFFERED = 5


@dataclass(frozen=True)
class Running:
    """A timer that runs: on which skins, whole minutes so far, and whether it was plainly forgotten."""

    session: WorkSession
    skins: tuple[Skin, ...]
    minutes: int
    forgotten: bool

    @property
    def tags(self) -> tuple[str, ...]:
        return tuple(skin.tag for skin in self.skins)

    @property
    def ran(self) -> str:
        """How long, as people say it: 25 min, 1 h 05 min."""
        hours, rest = divmod(self.minutes, 60)
        return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


@dataclass(frozen=True)
class Choice:
    """A skin to tap, and whose timer is on it already."""

    skin: Skin
    busy: str = ""


def running() -> list[Running]:
    """Every timer that runs, the longest first. Two queries."""
    now = timezone.now()
    return [_running(row, now - row.started_at) for row in detailed().filter(at_hand__running=True).distinct()]


def detailed() -> QuerySet[WorkSession]:
    """Sessions with their skins at hand, the oldest first."""
    hands = Prefetch("at_hand", queryset=SessionSkin.objects.select_related("skin").order_by("pk"))
    return (
        WorkSession.objects.select_related("who", "batch", "labour")
        .prefetch_related(hands)
        .order_by("started_at", "pk")
    )


def of(session: WorkSession) -> Running:
    """One session, as of now."""
    row = detailed().get(pk=session.pk)
    return _running(row, (row.stopped_at or row.dropped_at or timezone.now()) - row.started_at)


def answered(session: WorkSession) -> str:
    """What of a step was done with it, in the words of the recipe; empty where nothing was."""
    mark = StepMark.objects.filter(labour=session.labour, reversed_at__isnull=True).select_related("step").first()
    if mark is None:
        return ""
    return mark.step.repeat if mark.kind == StepMark.Kind.REPEAT else mark.step.does


def _running(row: WorkSession, ran: timedelta) -> Running:
    skins = tuple(hand.skin for hand in row.at_hand.all())
    return Running(row, skins, max(0, ran // timedelta(minutes=1)), row.runs and ran > LONGEST)


def odd_stop(row: WorkSession, at: datetime | None, typed: Decimal | None) -> str | None:
    """What to ask of the minutes of a stop: those that were typed, else those that the timer ran until `at` (None: now).

    One that ran so long that the stop is refused is not asked about, nor one that has ended.
    """
    if not row.runs:
        return None
    if typed is not None:
        return labour_read.odd_minutes(typed)
    ran = (at or timezone.now()) - row.started_at
    return labour_read.odd_minutes(Decimal(ran // timedelta(minutes=1)), ran=True) if ran <= LONGEST else None


def choices(now: Sequence[Running]) -> list[tuple[Batch | None, list[Choice]]]:
    """Unfinished skins by the batch they are in, those in none last. `now` is what runs. Two queries."""
    whose = {skin.pk: row.session for row in now for skin in row.skins}
    stays = BatchSkin.objects.filter(left_on__isnull=True).select_related("batch__version__recipe")
    found: dict[int, tuple[Batch | None, list[Choice]]] = {}
    for skin in stays_read.unfinished().prefetch_related(Prefetch("stays", queryset=stays)):
        batch = next((stay.batch for stay in skin.stays.all()), None)
        session = whose.get(skin.pk)
        busy = "" if session is None else (session.who.get_username() if session.who else "the owner")
        found.setdefault(batch.pk if batch else 0, (batch, []))[1].append(Choice(skin, busy))
    groups = sorted(found.values(), key=lambda group: group[0].number if group[0] else "")
    return [group for group in groups if group[0]] + [group for group in groups if group[0] is None]


def tasks() -> dict[str, TaskKind]:
    """What sessions were at before and what each counts as, the latest first; softening is always among them, and the usual
    fill up. A word that was used for two kinds counts as the later one."""
    rows = (
        WorkSession.objects.order_by().values("task", "kind").annotate(last=Max("started_at")).order_by("-last", "task")
    )
    found: dict[str, TaskKind] = {}
    for row in rows[: 2 * OFFERED]:
        if len(found) < OFFERED - 1:
            found.setdefault(row["task"], TaskKind(row["kind"]))
    for word, kind in USUAL_TASKS.items():
        if len(found) < OFFERED:
            found.setdefault(word, kind)
    return found
