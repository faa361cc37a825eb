"""Pages of moves: a piece, a skin, a material goes to a place; a piece leaves without a sale; a move is taken back."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property

from inventory.articles.models import Article
from inventory.materials.models import Material
from inventory.permits import Act, Person, may
from inventory.places.moves import selectors as moves_read
from inventory.places.moves import services as moves
from inventory.places.moves.forms import MoveForm, MoveTakeBackForm, OutForm
from inventory.places.moves.models import Move
from inventory.places.moves.services import Thing
from inventory.skins.models import Skin
from inventory.web.views import About, address

WAYS = {Article: "article_move", Skin: "skin_move", Material: "material_move"}
WITH_PAPER = (Move.Why.SOLD, Move.Why.DELIVERED, Move.Why.RETURNED)


def whereabouts(thing: Thing, user: Person) -> dict[str, Any]:
    """What pages about a thing tell of its places: where it is, where it was, and the last move where it can be taken back."""
    walked = list(moves_read.of(thing))
    last = walked[-1] if walked else None
    return {
        "thing": thing,
        "moves": walked,
        "last_move": last if last and last.why not in WITH_PAPER else None,
        "may_move": may(user, Act.SHED),
        "move_url": address(thing, WAYS[type(thing)]),
    }


class _Move(About):
    form_class = MoveForm
    submit = "Move it"
    made: Move

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the thing
        return f"Move {self.thing}"

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it says where the thing is
        place = self.thing.place
        return f"It is at {place} now." if place else "Where it is now was not said."

    def enter(self, form: Any) -> Move:
        found = form.cleaned_data
        return moves.move(
            thing=self.thing,
            to=found["to"],
            on=found["on"],
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.thing} is at {self.made.to} now." if self.made.to else f"{self.thing} was moved."


class ArticleMove(_Move):
    @cached_property
    def thing(self) -> Thing:
        return get_object_or_404(Article.objects.select_related("place"), number=self.kwargs["number"])


class SkinMove(_Move):
    @cached_property
    def thing(self) -> Thing:
        return get_object_or_404(Skin.objects.select_related("place"), tag=self.kwargs["tag"])


class MaterialMove(_Move):
    @cached_property
    def thing(self) -> Thing:
        return get_object_or_404(Material.objects.select_related("place"), code=self.kwargs["code"])


class ArticleOut(About):
    """Given away, own use, spoiled. A sale lets a piece go by itself."""

    form_class = OutForm
    submit = "It leaves"
    danger = True
    made: Move

    @cached_property
    def thing(self) -> Article:  # only a piece leaves
        return get_object_or_404(Article, number=self.kwargs["number"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the piece
        return f"{self.thing} leaves without a sale"

    lead = (
        "Its book cost leaves the stock on that day. What you take for yourself is counted apart, as a tax office asks."
    )

    def enter(self, form: Any) -> Move:
        found = form.cleaned_data
        return moves.out(
            article=self.thing,
            on=found["on"],
            why=found["why"],
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.thing} left: {self.made.get_why_display().lower()}."


class MoveTakeBack(About):
    """The last move of a thing never was."""

    form_class = MoveTakeBackForm
    title = "Take this move back?"
    submit = "Take it back"
    danger = True
    done_message = "The move is taken back."

    @cached_property
    def move(self) -> Move:
        rows = Move.objects.select_related("article", "skin", "material", "origin", "to")
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    @cached_property
    def thing(self) -> Thing:
        row = self.move
        return next(thing for thing in (row.article, row.skin, row.material) if thing is not None)

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the move
        row = self.move
        where = f" to {row.to}" if row.to else ""
        back = f"; {self.thing} is at {row.origin} again" if row.origin else ""
        return f"{row.get_why_display()}{where} on {row.on.day} {row.on:%b %Y}. It stays on record as taken back{back}."

    def enter(self, form: Any) -> Move:
        return moves.take_back(move=self.move, by=self.request.user)
