"""Sessions: a timer that is started, stopped, dropped. Its start is kept here, so a sleeping phone loses nothing.

Stopping writes one labour line through `costing.make.labour.services`; nothing else here touches a cost. A refused stop leaves the
timer running: minutes are never thrown away by a refusal.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils import timezone

from costing.make.batches.models import Batch
from costing.make.batches.stays import services as stays
from costing.make.errors import plain
from costing.make.labour import services as labour
from costing.make.labour.models import LabourLine
from costing.make.labour.sessions.models import SessionSkin, WorkSession
from costing.make.labour.sessions.selectors import LONGEST
from costing.make.recipes.models import TaskKind
from costing.make.steps.marks import services as marks
from costing.make.steps.models import StepMark
from inventory import formats
from inventory.base import checks, selectors as workshop_read
from inventory.base.services import refuse_late, service
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.models import Skin
from inventory.money import half_up
from inventory.permits import OWNER, Act, Person, author
from inventory.skins import services as skins_services


@service(Act.SHED, makes=WorkSession)
def start(
    *,
    tags: Sequence[str],
    kind: str = TaskKind.SOFTEN,
    task: str = "",
    batch: Batch | None = None,
    at: datetime | None = None,
    by: Person = None,
    request_key: str,
) -> WorkSession:
    """Start a timer on skins. `request_key` names the session from now on: a phone that started it without a signal stops it
    by that key. `batch`: the one they share that day, unless given. Refused: a skin or a person that has a timer already."""
    if not request_key:
        raise Refused("The form's request key is missing. Open the page again.")
    writer = author(by)
    started_at = checks.moment(at)
    on = checks.day(workshop_read.day_of(started_at), field="at")
    what = labour.known_kind(kind)
    task = checks.text(task, "The task", field="task", longest=80) or what.label.lower()
    if not tags:
        raise Refused("No skin was chosen. Tap at least one.", field="skins")
    skins = skins_services.lock(list(dict.fromkeys(tags)))
    for skin in skins:
        _refuse_unworkable(skin, on)
    if batch is not None:
        stays.hold(batch)
        stays.refuse_unfit(batch, skins, on)
    _refuse_running(writer, skins)
    try:
        with transaction.atomic():
            made = WorkSession.objects.create(
                key=request_key,
                who=writer,
                kind=what,
                task=task,
                batch=batch or _shared_batch(skins, on),
                started_at=started_at,
            )
            SessionSkin.objects.bulk_create(SessionSkin(session=made, skin=skin) for skin in skins)
    except IntegrityError:
        # Somebody was quicker by a moment: the database held, and now it can be said who.
        _refuse_running(writer, skins)
        raise
    return made


@service(Act.SHED, makes=WorkSession)
def stop(
    *,
    key: str,
    at: datetime | None = None,
    minutes: Decimal | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> WorkSession:
    """Stop the timer of this key and log its minutes on the day it began, for the skins that can bear them. Softening that
    was due that day in their batch is done with it.

    Minutes are whole, half up, at least one; `minutes` says instead what was really worked. Refused, and the timer goes on:
    a stop before the start, more than twelve hours without `minutes`, no skin left to bear them.
    """
    row, skins = _held(key)
    if row.stopped_at:
        took = f"{formats.plain(row.labour.minutes)} min " if row.labour else ""
        raise Refused(f"This timer was stopped at {clock(row.stopped_at)} already, {took}are logged. Drop this entry.")
    if row.dropped_at:
        raise Refused("This timer was dropped as started by mistake. Log the minutes by hand if you did work.")
    stopped_at = checks.moment(at)
    if minutes is None:
        minutes = _worked(row, stopped_at)
    on = workshop_read.day_of(row.started_at)
    bearers = [skin for skin in skins if not (skin.lost_on and on > skin.lost_on)]
    if not bearers:
        raise Refused(
            f"{_named(skins)} was lost before {on}, so it takes no work of that day. Log these {plain(minutes)} min on "
            "another skin or a batch by hand, then drop the timer.",
            field="skins",
        )
    row.labour = _logged(row, bearers, on, minutes, by)
    row.stopped_at = max(stopped_at, row.started_at)
    row.save(update_fields=["labour", "stopped_at"])
    row.at_hand.update(running=False)
    if row.labour.batch:
        marks.fulfil(batch=row.labour.batch, line=row.labour, by=by)
    return row


@service(Act.SHED)
def drop(*, key: str, by: Person = None) -> WorkSession:
    """A timer started by mistake: it ends and nothing is counted. Dropping it again changes nothing."""
    row, _ = _held(key)
    if row.stopped_at:
        raise Refused(
            f"This timer was stopped at {clock(row.stopped_at)} and is work in the log. Reverse its line instead."
        )
    if row.dropped_at is None:
        row.dropped_at = timezone.now()
        row.save(update_fields=["dropped_at"])
        row.at_hand.update(running=False)
    return row


@service(Act.SHED)
def undo_stop(*, session: WorkSession, by: Person = None) -> WorkSession:
    """Within the ten seconds, by the one who stopped it: the line, and what it answered of a step, is reversed and the timer
    runs on as if never stopped."""
    row, skins = _held(session.key)
    line = row.labour
    if line is None:
        raise Refused("This timer is not stopped, so there is nothing to undo.")
    if line.written_by != author(by):
        raise NotAllowed("undo what somebody else has stopped")
    refuse_late(line.written_at)
    _refuse_running(row.who, skins)
    if mark := StepMark.objects.filter(labour=line, reversed_at__isnull=True).first():
        marks.reverse(mark=mark, by=by)
    else:
        labour.reverse(line=line, by=by)
    row.stopped_at, row.labour = None, None
    try:
        with transaction.atomic():
            row.save(update_fields=["stopped_at", "labour"])
            row.at_hand.update(running=True)
    except IntegrityError:
        _refuse_running(row.who, skins)
        raise
    return row


def clock(moment: datetime) -> str:
    """14:05 on the workshop's wall."""
    return f"{timezone.localtime(moment):%H:%M}"


def _held(key: str) -> tuple[WorkSession, list[Skin]]:
    """The session and its skins, locked: skins first, as everywhere, so that nobody waits in a ring."""
    tags = list(SessionSkin.objects.filter(session__key=key).order_by("pk").values_list("skin__tag", flat=True))
    skins = skins_services.lock(tags)
    row = WorkSession.objects.select_for_update(of=("self",)).select_related("who", "labour__written_by", "batch")
    found = row.filter(key=key).first()
    if found is None:
        raise Refused("No timer was started here, so none can be stopped. Start one, or log the minutes by hand.")
    return found, skins


def _refuse_unworkable(skin: Skin, on: date) -> None:
    if skin.stage in (Skin.Stage.FINISHED, Skin.Stage.LOST):
        raise Refused(f"{skin.tag} is {skin.get_stage_display().lower()}; a timer needs a skin in work.", field="skins")
    if on < skin.date_in:
        raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}. Check the date.", field="skins")


def _refuse_running(who: User | None, skins: Iterable[Skin]) -> None:
    """One timer to a person, one to a skin: say whose, since when, and the way out."""
    running = Q(stopped_at__isnull=True, dropped_at__isnull=True)
    own = WorkSession.objects.filter(running, who=who).first()
    if own:
        tags = [hand.skin.tag for hand in own.at_hand.select_related("skin")]
        raise Refused(
            f"Your timer on {', '.join(tags)} ({own.task}) runs since {_since(own.started_at)}. Stop or drop it first, "
            "on the page Softening sessions.",
            field="skins",
        )
    busy = SessionSkin.objects.filter(running=True, skin__in=list(skins)).select_related("session__who", "skin")
    if hand := busy.order_by("skin__tag").first():
        whose = hand.session.who.get_username() if hand.session.who else "The owner"
        raise Refused(
            f"{whose} has a timer on {hand.skin.tag} ({hand.session.task}) since {_since(hand.session.started_at)}. "
            f"Stop that one first, or leave {hand.skin.tag} out.",
            field="skins",
        )


def _shared_batch(skins: Sequence[Skin], on: date, first: Batch | None = None) -> Batch | None:
    """The batch that all of these are in on a day; `first` before another that would do as well."""
    there = Q(stays__left_on__isnull=True) | Q(stays__left_on__gte=on)
    found = Batch.objects.all()
    for skin in skins:
        found = found.filter(there, stays__skin=skin, stays__joined_on__lte=on)
    fitting = list(found.order_by("-start", "-pk").distinct())
    return first if first in fitting else next(iter(fitting), None)


def _worked(row: WorkSession, stopped_at: datetime) -> Decimal:
    """Whole minutes from start to stop. Two devices' clocks may differ a little; a stop long before the start is an error."""
    ran = stopped_at - row.started_at
    if ran < -checks.CLOCK_APART:
        raise Refused(
            f"A stop at {_since(stopped_at)} lies before its start at {_since(row.started_at)}. "
            "Check the clock of your device, or enter the minutes you worked.",
            field="minutes",
        )
    if ran > LONGEST:
        hours, rest = divmod(ran // timedelta(minutes=1), 60)
        raise Refused(
            f"This timer runs for {hours} h {rest:02d} min, since {_since(row.started_at)}. Enter what you really worked; "
            "it goes on until then.",
            field="minutes",
        )
    return max(Decimal(1), half_up(Fraction(ran // timedelta(microseconds=1), 60_000_000), 0))


def _logged(row: WorkSession, skins: Sequence[Skin], on: date, minutes: Decimal, by: Person) -> LabourLine:
    try:
        return labour.log(
            on=on,
            kind=row.kind,
            task=row.task,
            minutes=minutes,
            batch=_shared_batch(skins, on, row.batch),
            tags=[skin.tag for skin in skins],
            who=_worker(row.who),
            by=by,
        )
    except ClosedPeriod as closed:
        raise Refused(
            f"{closed} Or log these {plain(minutes)} min on an open day by hand, then drop the timer.", field="minutes"
        ) from None


def _worker(who: User | None) -> str:
    """As the labour log names people: nobody is the owner."""
    if who is None or who.is_superuser or who.groups.filter(name=OWNER).exists():
        return ""
    return who.get_username()[:80]


def _named(skins: Sequence[Skin]) -> str:
    return ", ".join(skin.tag for skin in skins)


def _since(moment: datetime) -> str:
    here = timezone.localtime(moment)
    return f"{here:%H:%M} on {formats.day(here)}"
