"""Moves: things go from place to place, leave the workshop, and come back. An article's row follows its last move."""

from datetime import date
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.utils import timezone

from inventory.articles.models import Article
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.materials.models import Material
from inventory.permits import Act, Person, author
from inventory.places.models import Place
from inventory.places.moves import selectors as moves
from inventory.places.moves.models import OUT, WITH_PAPER, Move
from inventory.skins.models import Skin

Thing = Article | Skin | Material
T = TypeVar("T", bound=Thing)
BY_HAND = (Move.Why.GIVEN, Move.Why.OWN_USE, Move.Why.SPOILED, Move.Why.MISSING)


@service(Act.SHED, makes=Move)
def move(
    *, thing: Thing, to: Place | None, on: date, note: str = "", by: Person = None, request_key: str | None = None
) -> Move:
    """One thing goes to a place. No value moves with it, so a closed period does not hold it back."""
    checks.day(on, posts=False)
    return shift(thing=thing, to=to, on=on, note=note, writer=author(by))


def shift(*, thing: Thing, to: Place | None, on: date, note: str = "", writer: User | None) -> Move:
    """For services that move things, inside their transaction."""
    return _write(lock(thing), on=on, why=Move.Why.MOVED, to=to, note=note, writer=writer)


@service(Act.PRICES, makes=Move)
def out(
    *, article: Article, on: date, why: str, note: str = "", by: Person = None, request_key: str | None = None
) -> Move:
    """A piece leaves without a sale: given away, kept for own use, spoiled, lost. Its book cost leaves the stock that day."""
    if why not in BY_HAND:
        raise Refused(f"A piece leaves by hand as one of {', '.join(BY_HAND)}, or by a sale.", field="why")
    checks.day(on)
    if article.customers:
        raise Refused(f"{article.number} is a customer's. It leaves when its job is handed over.", field="article")
    return leave(article=article, on=on, why=why, note=note, writer=author(by))


def leave(*, article: Article, on: date, why: str, note: str = "", writer: User | None) -> Move:
    """For services that let a piece go, inside their transaction. Refuses what is gone, or not finished yet."""
    return _write(lock(article), on=on, why=why, to=None, note=note, writer=writer)


def come_back(*, article: Article, on: date, to: Place | None, note: str = "", writer: User | None) -> Move:
    """For services that take a piece back, inside their transaction: it is stock again, at the book cost it always had."""
    row = lock(article)
    if row.gone_on is None:
        raise Refused(f"{row.number} is here; it cannot come back.", field="article")
    return _write(row, on=on, why=Move.Why.RETURNED, to=to, note=note, writer=writer)


@service(lambda move, **_: Act.PRICES if move.why in OUT else Act.SHED)
def reverse(*, move: Move, by: Person = None) -> Move:
    """The last move of a thing never was. A sale is reversed by a credit, which has a paper of its own."""
    row = Move.objects.select_for_update(of=("self",)).get(pk=move.pk)
    if row.reversed_at is not None:
        raise Refused("This move is reversed already.")
    if row.why in WITH_PAPER:
        raise Refused("This came with a sale or its credit, and stays with it. Credit the sale instead.")
    checks.day(row.on, posts=row.why in OUT)
    thing = lock(row.thing)
    last = moves.of(thing).last()
    if last is None or last.pk != row.pk:
        raise Refused(f"{thing} has moved since. Reverse its later moves first, newest first.")
    row.reversed_at, row.reverser = timezone.now(), author(by)
    row.save(update_fields=["reversed_at", "reverser"])
    _stand(thing, row.origin)
    return row


def lock(thing: T) -> T:
    """The thing as it stands now, its row held until the entry is written."""
    rows: Any = type(thing)._default_manager.select_for_update()
    thing.refresh_from_db(from_queryset=rows)
    return thing


def _write(thing: Thing, *, on: date, why: str, to: Place | None, note: str, writer: User | None) -> Move:
    """The move of a locked thing; its row follows. What is gone can only come back."""
    if isinstance(thing, Article) and why != Move.Why.RETURNED:
        _refuse_gone(thing)
    _refuse_before(thing, on)
    written = Move.objects.create(
        **{str(thing._meta.model_name): thing},
        on=on,
        why=why,
        origin=thing.place,
        to=to,
        note=checks.text(note, "The note", field="note", longest=200),
        written_by=writer,
    )
    _stand(thing, to, gone=(on, why) if why in OUT else (None, ""))
    return written


def _stand(thing: Thing, place: Place | None, *, gone: tuple[date | None, str] = (None, "")) -> None:
    changed = ["place"]
    thing.place = place
    if isinstance(thing, Article):
        thing.gone_on, thing.gone_why = gone
        changed += ["gone_on", "gone_why"]
    thing.save(update_fields=changed)


def _refuse_gone(article: Article) -> None:
    if article.gone_on is not None:
        how = Move.Why(article.gone_why).label.lower()
        raise Refused(f"{article.number} left on {article.gone_on} ({how}). It must come back first.", field="article")


def _refuse_before(thing: Thing, on: date) -> None:
    """Nothing moves before it was there, and moves are written in the order of their days."""
    began = thing.finished_on if isinstance(thing, Article) else thing.date_in if isinstance(thing, Skin) else on
    if on < began:
        word = "was finished" if isinstance(thing, Article) else "came in"
        raise Refused(f"{thing} {word} on {began}; nothing can happen to it on {on}.", field="on")
    last = moves.of(thing).last()
    if last is not None and on < last.on:
        raise Refused(f"{thing} moved on {last.on}. Choose that day or a later one.", field="on")
