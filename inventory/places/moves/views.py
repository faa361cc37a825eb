"""Pages of moves: a piece, a skin, a material goes to a place; a piece leaves without a sale; a move is undone."""

from typing import Any, TypeVar

from django.db.models import Model, QuerySet

from inventory import formats
from inventory.articles.models import Article
from inventory.materials.models import Material
from inventory.permits import Act, Person, may
from inventory.places.moves import selectors as moves_read, services as moves
from inventory.places.moves.forms import MoveForm, OutForm
from inventory.places.moves.models import WITH_PAPER, Move
from inventory.places.moves.services import Thing
from inventory.skins.models import Skin
from inventory.web.reversals import Reversal
from inventory.web.trail import address
from inventory.web.views import About

T = TypeVar("T", Article, Skin, Material)


def whereabouts(thing: Thing, user: Person) -> dict[str, Any]:
    """What pages about a thing tell of its places: where it is, where it was, and the last move where it can be undone."""
    walked = list(moves_read.of(thing))
    last = walked[-1] if walked else None
    return {
        "thing": thing,
        "moves": walked,
        "last_move": last if last and last.why not in WITH_PAPER else None,
        "may_move": may(user, Act.SHED),
        "move_url": address(thing, f"{thing._meta.model_name}_move"),
    }


class _Move(About[T]):
    form_class = MoveForm
    title = "Move {self.thing}"
    submit = "Move it"
    made: Move

    def get_lead(self) -> str:
        place = self.thing.place
        return f"It is at {place} now." if place else "Where it is now was not said."

    def enter(self, form: Any) -> Move:
        return moves.move(thing=self.thing, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{self.thing} is at {self.made.to} now." if self.made.to else f"{self.thing} was moved."


class ArticleMove(_Move[Article]):
    model = Article


class SkinMove(_Move[Skin]):
    model = Skin


class MaterialMove(_Move[Material]):
    model = Material


class ArticleOut(About[Article]):
    """Given away, own use, spoiled. A sale lets a piece go by itself."""

    model = Article
    form_class = OutForm
    title = "Remove {self.thing} from stock"
    submit = "Remove"
    danger = True
    lead = (
        "Its book cost leaves the stock on that day. What you take for yourself is counted apart, as a tax office asks."
    )
    made: Move

    def enter(self, form: Any) -> Move:
        return moves.out(article=self.thing, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{self.thing} left: {self.made.get_why_display().lower()}."


class MoveReversal(Reversal[Move]):
    """The last move of a thing never was."""

    asks = ()
    title = "Reverse this move?"
    success_message = "The move is reversed."

    def things(self) -> QuerySet[Move]:
        return Move.objects.select_related("article", "skin", "material", "origin", "to")

    def whose(self) -> Model:
        return self.thing.thing

    def get_lead(self) -> str:
        row = self.thing
        where = f" to {row.to}" if row.to else ""
        back = f"; {self.whose()} is at {row.origin} again" if row.origin else ""
        return f"{row.get_why_display()}{where} on {formats.day(row.on)}. It stays on record as reversed{back}."

    def enter(self, form: Any) -> Move:
        return moves.reverse(move=self.thing, by=self.request.user)
