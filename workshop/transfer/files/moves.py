"""What went from place to place, and pieces that left without a sale."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from inventory.errors import Refused
from inventory.models import OUT, Article, Material, Move, Place, Skin
from inventory.places.moves import services as moves
from inventory.places.moves.services import BY_HAND
from workshop.transfer.format.columns import FILES
from workshop.transfer.format.events import SavedEntry
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

Thing = Article | Skin | Material
Key = tuple[str, int]
_BY_FILE = (Move.Why.MOVED, *BY_HAND)
_THINGS = ("article", "skin", "material")


class SavedMoves:
    """Moves by hand in their order; those of sales and credit notes come with them. `first_places`: where each thing was before.

    Where a thing is elsewhere than its last move took it (its place was put right without a move), a move of that day says so,
    so that it comes back where it is.
    """

    def __init__(self, written: Iterator[tuple[Move, datetime]]) -> None:
        self.first_places: dict[Key, Place | None] = {}
        self.entries = list(self._saved(written))

    def first_place(self, thing: Thing) -> str:
        """Where it was made or taken in; now it is where its last move took it."""
        place = self.first_places.get((str(thing._meta.model_name), thing.pk), thing.place)
        return place.name if place else ""

    def _saved(self, written: Iterator[tuple[Move, datetime]]) -> Iterator[SavedEntry]:
        last: dict[Key, tuple[Move, SavedEntry]] = {}
        things: dict[Key, Thing] = {}
        for row, moment in written:
            name, thing = _thing(row)
            key = name, thing.pk
            things[key] = thing
            self.first_places.setdefault(key, row.origin)
            saved = SavedEntry("moves.csv", moment, [FILES["moves.csv"].cells(row)], row.pk)
            if key in last:
                yield from _put_right(*last[key], row.origin)
            last[key] = row, saved
            if row.why in _BY_FILE:
                yield saved
        for key, found in last.items():
            yield from _put_right(*found, things[key].place)


def _put_right(move: Move, saved: SavedEntry, place: Place | None) -> Iterator[SavedEntry]:
    if move.to != place and move.why not in OUT:
        cells = FILES["moves.csv"].cells(move, why=Move.Why.MOVED.value, to=place.name if place else None, note=None)
        yield SavedEntry("moves.csv", saved.written, [cells], saved.pk)


def _thing(row: Move) -> tuple[str, Thing]:
    return next((name, thing) for name in _THINGS if (thing := getattr(row, name)) is not None)


def write_move(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row):
        named = [name for name in _THINGS if row[name]]
        if len(named) != 1:
            raise Refused("Name one thing that moved: an article, a skin or a material.", field="article")
        said: dict[str, Any] = session.arguments(row)
        if row["why"] == Move.Why.MOVED:
            moves.move(thing=session.named(row, named[0]), to=session.named(row, "to"), **said)
            return
        if named != ["article"] or row["to"]:
            raise Refused("Only an article leaves, and what leaves goes to no place.", field="why")
        moves.out(article=session.named(row, "article"), why=row["why"], **said)
