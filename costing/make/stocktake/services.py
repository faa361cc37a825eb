"""Counting skins and pieces at one place: what is missing and what stands elsewhere looked at first, then decided one by one.

Owns the comparison and the order of writing; what is written is written by the services that own it: a move, a piece that
leaves, a skin that is lost. A customer's own is never written off here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from costing.make.losses import services as losses
from costing.make.stocktake import selectors as stocktake
from costing.make.stocktake.selectors import Thing
from inventory.base import checks, selectors as workshop_read, services as entries
from inventory.base.services import service
from inventory.errors import NotAllowed, Refused
from inventory.models import Article, Move, Place, Request, Skin, Workshop
from inventory.permits import Act, Person
from inventory.places.moves import services as moves
from inventory.places.moves.services import BY_HAND
from inventory.skins import services as skins

ACT = "stocktake"
AGAIN, LOST, LEAVE, MOVE = "again", "lost", "leave", "move"
WAYS_OF_SKIN = (AGAIN, LOST)
WAYS_OF_PIECE = (AGAIN, *(why.value for why in BY_HAND))
MISSING = "missing"
NOTE = "found when counted"
LOOK_AGAIN = "Look at the differences again."


@dataclass(frozen=True)
class Doing:
    """What is to be done about one difference: look again, how it went with a reason, or the move written or left."""

    way: str = ""
    reason: str = ""


@dataclass(frozen=True)
class Differences:
    """`missing` should stand at the place and was not found; `elsewhere` was found and the books have it at another."""

    missing: tuple[Thing, ...] = ()
    elsewhere: tuple[Thing, ...] = ()
    agreeing: int = 0

    @property
    def signs(self) -> dict[str, str]:
        """By key, what the difference is: sent back with the choices, so that what moved meanwhile is noticed."""
        gone = {thing.key: MISSING for thing in self.missing}
        return gone | {thing.key: f"at-{thing.place.pk if thing.place else 0}" for thing in self.elsewhere}


@dataclass(frozen=True)
class Written:
    """What a count came to. `again` are those to look for again, of which nothing is written."""

    moved: list[Move] = field(default_factory=list)
    gone: list[Move] = field(default_factory=list)
    lost: list[Skin] = field(default_factory=list)
    again: list[str] = field(default_factory=list)


@service(Act.GOODS)
def look(*, place: Place | None, on: date, found: Sequence[Thing], by: Person = None) -> Differences:
    """What differs from the books at a place. Nothing is written."""
    return _compare(place, on, _as_they_stand(found))


@service(Act.GOODS)
def post(
    *,
    place: Place | None,
    on: date,
    found: Sequence[Thing],
    seen: Mapping[str, str],
    doing: Mapping[str, Doing],
    by: Person = None,
    request_key: str | None = None,
) -> Written:
    """Write what was decided about each difference, all of it or nothing. `seen` are the `signs` that were looked at.

    Where something moved since, so that a difference is another, nothing is written. The same key twice answers with what
    the first call wrote.
    """
    kept_by: Place | Workshop = place or workshop_read.current()
    if entries.find_existing(request_key, type(kept_by), ACT):
        return _made(request_key, seen)
    found = _lock(place, on, found)
    differences = _compare(place, on, found)
    _refuse_moved(differences, found, seen)
    written = Written()
    for thing in differences.missing:
        _decide(thing, doing.get(thing.key, Doing()), on, by, _key(request_key, thing), written)
    for thing in differences.elsewhere:
        if _way(thing, doing.get(thing.key, Doing()), (MOVE, LEAVE), field=thing.entry("move")) == MOVE:
            key = _key(request_key, thing)
            written.moved.append(moves.move(thing=thing.row, to=place, on=on, note=NOTE, by=by, request_key=key))
    if written.moved or written.gone or written.lost:
        entries.remember(request_key, kept_by)
    else:
        entries.release(request_key)
    return written


def _compare(place: Place | None, on: date, found: Sequence[Thing]) -> Differences:
    checks.day(on, posts=False)
    if on > workshop_read.today():
        raise Refused(f"{on} has not come yet. Give the day on which you counted.", field="on")
    expected = stocktake.at(place, on)
    keys = {thing.key for thing in found}
    missing = [thing for thing in expected if thing.key not in keys]
    elsewhere = [thing for thing in found if thing.place != place]
    _refuse_unlike(found, on)
    last = stocktake.last_moves([*missing, *elsewhere])
    for thing in (*missing, *elsewhere):
        if thing.key in last and last[thing.key] > on:
            raise Refused(
                f"{thing.code} moved on {last[thing.key]}, after {on}. Count again, on that day or a later one.",
                field="on",
            )
    return Differences(tuple(missing), tuple(elsewhere), len(keys) - len(elsewhere))


def _refuse_unlike(found: Sequence[Thing], on: date) -> None:
    """What was found must be there to be found."""
    for thing in found:
        if not stocktake.here(thing):
            raise Refused(f"{thing.code} left the workshop in the books since the page was opened. Open it again.")
        if thing.began > on:
            word = "came in" if isinstance(thing.row, Skin) else "was finished"
            raise Refused(f"{thing.code} {word} on {thing.began}; it cannot be found on {on}.", field="on")


def _lock(place: Place | None, on: date, found: Sequence[Thing]) -> list[Thing]:
    """What was found as it stands now. Held with what should be there, skins before pieces, until all is written."""
    both = {thing.key: thing for thing in (*stocktake.at(place, on), *found)}.values()
    skins.lock(sorted(thing.code for thing in both if isinstance(thing.row, Skin)))
    pieces = [thing.row.pk for thing in both if isinstance(thing.row, Article)]
    list(Article.objects.select_for_update(of=("self",)).filter(pk__in=pieces).order_by("pk"))
    return _as_they_stand(found)


def _as_they_stand(things: Sequence[Thing]) -> list[Thing]:
    return list(stocktake.by_keys(thing.key for thing in things).values())


def _refuse_moved(found: Differences, all_found: Sequence[Thing], seen: Mapping[str, str]) -> None:
    signs = found.signs
    changed = [key for key in {**signs, **seen} if signs.get(key) != seen.get(key)]
    if changed:
        named = ", ".join(thing.code for thing in stocktake.by_keys(changed).values()) or "Something"
        raise Refused(f"{named} moved in the books since the differences were shown. {LOOK_AGAIN}")


def _decide(thing: Thing, doing: Doing, on: date, by: Person, key: str | None, written: Written) -> None:
    """One that is missing: nothing is written while it is looked for."""
    if thing.theirs:
        if doing.way not in ("", AGAIN):
            raise Refused(f"{thing.code} is a customer's own. A stocktake writes nothing of it; see its own page.")
        written.again.append(thing.code)
        return
    way = _way(thing, doing, WAYS_OF_SKIN if isinstance(thing.row, Skin) else WAYS_OF_PIECE, field=thing.entry("way"))
    if way == AGAIN:
        written.again.append(thing.code)
        return
    reason = checks.text(doing.reason, f"How {thing.code} went", field=thing.entry("reason"), longest=200, needed=True)
    try:
        if isinstance(thing.row, Skin):
            written.lost.append(losses.lose(skin=thing.row, on=on, reason=reason, by=by, request_key=key))
        else:
            written.gone.append(moves.out(article=thing.row, on=on, why=way, note=reason, by=by, request_key=key))
    except NotAllowed:
        raise
    except Refused as refusal:
        if refusal.field in ("on", None):
            raise
        raise Refused(str(refusal), field=thing.entry("way")) from refusal


def _way(thing: Thing, doing: Doing, ways: Sequence[str], *, field: str) -> str:
    if doing.way not in ways:
        raise Refused(f"Say what is to be done about {thing.code}.", field=field)
    return doing.way


def _key(request_key: str | None, thing: Thing) -> str | None:
    return f"{request_key}/{thing.key}" if request_key else None


def _made(request_key: str | None, seen: Mapping[str, str]) -> Written:
    """What the first call under the key wrote; what was seen missing and not written was looked for again."""
    rows = list(Request.objects.filter(key__startswith=f"{request_key}/").values_list("key", "made", "made_pk"))
    moved = [pk for _, made, pk in rows if pk is not None and made.startswith(Move._meta.label)]
    lost = [pk for _, made, pk in rows if pk is not None and made.startswith(Skin._meta.label)]
    kept = {key.partition("/")[2] for key, _, _ in rows}
    again = stocktake.by_keys(key for key, sign in seen.items() if sign == MISSING and key not in kept)
    walked = list(Move.objects.filter(pk__in=moved).order_by("pk"))
    return Written(
        moved=[move for move in walked if move.why == Move.Why.MOVED],
        gone=[move for move in walked if move.why != Move.Why.MOVED],
        lost=list(Skin.objects.filter(pk__in=lost).order_by("pk")),
        again=[thing.code for thing in again.values()],
    )
