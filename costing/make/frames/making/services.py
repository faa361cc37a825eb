"""Frames as they are made, described anew, repaired and broken. Materials leave the shelf by the ledger, as for a batch."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import TypedDict, Unpack

from costing.make.batches.issues import services as issues
from costing.make.batches.issues.services import Amount
from costing.make.cost import services as costs
from costing.make.frames import selectors as frames
from costing.make.frames.models import Frame, Repair
from inventory.base import checks, services as entries
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Place
from inventory.permits import Act, Person, author

MOST_LACINGS = 1000


class Said(TypedDict, total=False):
    """`lacings` it is good for, `cost` paid besides materials from the shelf, own `minutes`, where it hangs, and words."""

    lacings: int
    cost: Decimal
    minutes: Decimal
    place: Place | None
    note: str


@service(Act.SHED, makes=Frame)
def build(
    *,
    number: str,
    on: date,
    amounts: Sequence[Amount] = (),
    by: Person = None,
    request_key: str | None = None,
    **said: Unpack[Said],
) -> Frame:
    """A frame of a number of its own, made on a day of materials, minutes and money; or an older one, of what it had cost."""
    row = Frame(number=checks.new_code(number, "The frame's number", Frame, field="number"))
    row.made_on = checks.day(on, posts=bool(amounts))
    _describe(row, **said)
    row.save()
    if amounts:
        issues.issue(batch=None, frame=row, on=on, amounts=amounts, by=by, reason="made")
    return row


@service(Act.SHED)
def describe(*, frame: Frame, by: Person = None, **said: Unpack[Said]) -> Frame:
    """Say it better: the lacings it is good for, its cost, its minutes, its place. What lacings wore off follows."""
    row = _held(frame)
    _describe(row, **said)
    row.save()
    costs.refresh_frame(row)
    return row


@service(Act.SHED, makes=Repair)
def repair(
    *,
    frame: Frame,
    on: date,
    what: str,
    amounts: Sequence[Amount] = (),
    minutes: Decimal = Decimal(0),
    cost: Decimal = Decimal(0),
    lacings: int = 0,
    by: Person = None,
    request_key: str | None = None,
) -> Repair:
    """Materials, minutes and money go into a frame again; `lacings` it is good for on top of those that were left."""
    row = _held(frame)
    checks.day(on, posts=bool(amounts))
    what = checks.text(what, "What was done", field="what", longest=120, needed=True)
    if on < row.made_on:
        raise Refused(f"{row} was made on {row.made_on}; it cannot be repaired before.", field="on")
    _refuse_broken(row, on)
    use = issues.issue(batch=None, frame=row, on=on, amounts=amounts, by=by, reason=what) if amounts else None
    made = Repair.objects.create(
        frame=row,
        on=on,
        what=what,
        use=use,
        minutes=_minutes(minutes),
        cost=checks.coins(cost, "What was paid", field="cost"),
        lacings=_lacings(lacings, least=0),
        written_by=author(by),
    )
    costs.refresh_frame(row)
    return made


@service(Act.SHED, makes=Repair)
def reverse(
    *, repair: Repair, reason: str, on: date | None = None, by: Person = None, request_key: str | None = None
) -> Repair:
    """Reverse a repair by a linked one; its materials go back on the shelf."""
    back = entries.reverse(repair, _mirrored, already="This repair is reversed already.", on=on, writer=author(by))
    if repair.use is not None and not hasattr(repair.use.posting, "reversed_by"):
        issues.reverse(use=repair.use, reason=reason, on=on, by=by)
    costs.refresh_frame(back.frame)
    return back


@service(Act.SHED)
def write_off(*, frame: Frame, on: date, why: str, by: Person = None) -> Frame:
    """The frame broke: it takes no lacing after that day, and what was left of it is written off."""
    row = _held(frame)
    checks.day(on, posts=False)
    if row.broken_on is not None:
        raise Refused(f"{row} broke on {row.broken_on} already.", field="on")
    last = frames.standing().filter(frame=row).last()
    since = max(row.made_on, last.line.on if last else row.made_on)
    if on < since:
        raise Refused(f"{row} was in use on {since}. Choose that day or a later one.", field="on")
    if held := frames.still_on().filter(frame=row).first():
        raise Refused(f"{row} holds {held.skin}. Take it off first.", field="on")
    row.broken_on = on
    row.broken_why = checks.text(why, "What happened", field="why", longest=200, needed=True)
    row.save(update_fields=["broken_on", "broken_why"])
    return row


@service(Act.SHED)
def take_back(*, frame: Frame, by: Person = None) -> Frame:
    """It did not break after all."""
    row = _held(frame)
    if row.broken_on is None:
        raise Refused(f"{row} is whole.")
    row.broken_on, row.broken_why = None, ""
    row.save(update_fields=["broken_on", "broken_why"])
    return row


def _held(frame: Frame) -> Frame:
    return Frame.objects.select_for_update(of=("self",)).get(pk=frame.pk)


def _refuse_broken(row: Frame, on: date) -> None:
    if row.broken_on is not None and on > row.broken_on:
        raise Refused(f"{row} broke on {row.broken_on}. If it was mended, reverse that first.", field="on")


def _mirrored(row: Repair, on: date) -> Repair:
    return Repair(
        frame=row.frame, on=on, what=row.what, minutes=-row.minutes, cost=-row.cost, lacings=-row.lacings, use=None
    )


def _describe(
    row: Frame,
    *,
    lacings: int = 1,
    cost: Decimal = Decimal(0),
    minutes: Decimal = Decimal(0),
    place: Place | None = None,
    note: str = "",
) -> None:
    row.lacings = _lacings(lacings, least=1)
    row.cost = checks.coins(cost, "Its cost", field="cost")
    row.minutes = _minutes(minutes)
    row.place = place
    row.note = checks.text(note, "The note", field="note", longest=120)


def _minutes(value: Decimal) -> Decimal:
    return checks.held(checks.not_negative(value, "The minutes", field="minutes"), field="minutes")


def _lacings(value: int, *, least: int) -> int:
    if not least <= value <= MOST_LACINGS:
        raise Refused(f"It is good for {least} to {MOST_LACINGS} lacings; {value} was given.", field="lacings")
    return value
