"""Which skins and pieces should stand at a place, and which one a tag means. What of it was found is `services.tally`."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Max, Q, QuerySet
from django.db.models.functions import Lower

from costing.make.batches.models import Batch, BatchSkin
from costing.make.cost import selectors as cost
from inventory.base import selectors as workshop
from inventory.models import Article, ArticleSkin, Move, Place, Skin
from inventory.money import half_up
from inventory.places.moves import selectors as moves
from inventory.stocktake import selectors as stocktake

MOST_WORDS = 200


@dataclass(frozen=True)
class Thing:
    """A skin or a piece as it is ticked off."""

    row: Skin | Article

    @property
    def key(self) -> str:
        """Tells it from everything else on the page: a skin and its piece may bear the same number."""
        return f"{self.row._meta.model_name}-{self.row.pk}"

    def entry(self, what: str) -> str:
        """The name of an entry of the form about it: its `way` or the `reason` where it is missing, else its `move`."""
        return f"{what}_{self.key}"

    @property
    def code(self) -> str:
        return str(self.row)

    @property
    def what(self) -> str:
        return stocktake.said(self.row)

    @property
    def place(self) -> Place | None:
        return self.row.place

    @property
    def began(self) -> date:
        return self.row.date_in if isinstance(self.row, Skin) else self.row.finished_on

    @property
    def theirs(self) -> bool:
        return self.row.theirs if isinstance(self.row, Skin) else self.row.customers


@dataclass(frozen=True)
class Facts:
    """What helps to look for it: its cost so far (none for a customer's), the batch it is in, and whose it is."""

    worth: Decimal | None
    batch: Batch | None = None
    whose: str = ""
    job: str = ""


def at(place: Place | None, on: date | None = None) -> list[Thing]:
    """What the books have at a place, skins first; without a place, what has none. With a day, what came after it is left out."""
    rows: list[Skin | Article] = [*stocktake.skins().filter(place=place), *stocktake.pieces().filter(place=place)]
    return [thing for thing in map(Thing, rows) if on is None or thing.began <= on]


def places() -> dict[str, Any]:
    """The places where a skin or a piece is written and the `others`, by name; and whether one has no place written."""
    used = {*stocktake.skins().values_list("place", flat=True), *stocktake.pieces().values_list("place", flat=True)}
    rows = list(Place.objects.order_by("name"))
    return {
        "used": [place for place in rows if place.pk in used],
        "others": [place for place in rows if place.pk not in used],
        "placeless": None in used,
    }


def by_keys(keys: Iterable[str]) -> dict[str, Thing]:
    """Things by their key, what is gone among them; a key that is none is left out."""
    ids: dict[str, list[int]] = {"skin": [], "article": []}
    for key in keys:
        if found := re.fullmatch(r"(skin|article)-(\d{1,18})", key, re.ASCII):
            ids[found[1]].append(int(found[2]))
    rows: list[Skin | Article] = []
    if ids["skin"]:
        rows += Skin.objects.select_related("place").filter(pk__in=ids["skin"]).order_by("tag")
    if ids["article"]:
        rows += Article.objects.select_related("place").filter(pk__in=ids["article"]).order_by("number")
    return {thing.key: thing for thing in map(Thing, rows)}


def here(thing: Thing) -> bool:
    """Whether it is there to be counted at all."""
    row = thing.row
    return row.stage in (Skin.Stage.RAW, Skin.Stage.IN_WORK) if isinstance(row, Skin) else row.gone_on is None


def words(text: str) -> list[str]:
    """Tags and numbers as they are typed: by line, comma or space, each once.

    >>> words("H01, h07; H01")
    ['H01', 'h07']
    """
    found: dict[str, str] = {}
    for word in re.findall(r"[^\s,;]+", text):
        found.setdefault(word.casefold(), word)
    return list(found.values())


def named(wanted: Sequence[str]) -> tuple[list[Thing], list[str]]:
    """The things that these tags and numbers mean, and a sentence for each that cannot be counted."""
    low = [word.lower() for word in wanted[:MOST_WORDS]]
    skins = Skin.objects.select_related("place").annotate(low=Lower("tag")).filter(low__in=low)
    pieces = Article.objects.select_related("place").annotate(low=Lower("number")).filter(low__in=low)
    rows: list[Skin | Article] = [*skins, *pieces]
    known = [Thing(row) for row in rows]
    found, told = [], []
    for word in wanted[:MOST_WORDS]:
        meant = [thing for thing in known if thing.code.lower() == word.lower()]
        alive = [thing for thing in meant if here(thing)]
        if len(alive) == 1:
            found.append(alive[0])
        else:
            told.append(_cannot(word, meant, alive))
    if len(wanted) > MOST_WORDS:
        told.append(f"More than {MOST_WORDS} were typed. Count the rest in a second go.")
    return found, told


def last_moves(things: Sequence[Thing]) -> dict[str, date]:
    """By key: the day of the last standing move."""
    ids = {name: [thing.row.pk for thing in things if thing.key.startswith(name)] for name in ("skin", "article")}
    standing = moves.standing().filter(Q(skin__in=ids["skin"]) | Q(article__in=ids["article"])).order_by()
    rows: QuerySet[Move, tuple[int | None, int | None, date]]
    rows = standing.values_list("skin", "article").annotate(last=Max("on"))
    return {f"skin-{skin}" if skin else f"article-{article}": last for skin, article, last in rows}


def facts(things: Sequence[Thing]) -> Mapping[str, Facts]:
    """By key. At most four queries beside those of the costs, however many things."""
    rows = [thing.row for thing in things]
    skins = [row for row in rows if isinstance(row, Skin)]
    mine = [skin for skin in skins if not skin.theirs]
    shares = cost.skin_shares(mine) if mine else {}
    stays = BatchSkin.objects.filter(skin__in=skins, left_on__isnull=True).exclude(batch__state=Batch.State.PLANNED)
    batches = {stay.skin_id: stay.batch for stay in stays.select_related("batch__place")}
    ordered = Skin.objects.filter(pk__in=[skin.pk for skin in skins], job__isnull=False)
    jobs = {Thing(skin).key: skin.job for skin in ordered.select_related("job__customer")}
    customers = [row.pk for row in rows if isinstance(row, Article) and row.customers]
    parts = ArticleSkin.objects.filter(article__in=customers, skin__job__isnull=False)
    jobs |= {f"article-{part.article_id}": part.skin.job for part in parts.select_related("skin__job__customer")}
    found = {}
    for thing in things:
        row, job, batch = thing.row, jobs.get(thing.key), None
        if isinstance(row, Skin):
            worth = half_up(shares[row.tag].book(), workshop.places()) if row.tag in shares else None
            batch, whose = batches.get(row.pk), row.customer
        else:
            worth, whose = None if row.customers else row.book_cost, ""
        found[thing.key] = Facts(worth, batch, job.customer.name if job else whose, job.number if job else "")
    return found


def _cannot(word: str, meant: Sequence[Thing], alive: Sequence[Thing]) -> str:
    if alive:
        return f"{word} is the tag of a skin and the number of a piece. Move the one you found on its own page."
    for thing in meant:
        row = thing.row
        if isinstance(row, Article):
            how = Move.Why(row.gone_why).label.lower()
            return f"{row} left on {row.gone_on} ({how}). Take that back or credit it first, then count it."
        if home := Skin.objects.filter(pk=row.pk, job__given_back=True).select_related("job").first():
            return (
                f"{row} went home to its owner on {row.lost_on}. Take the giving up of {home.job} back, then count it."
            )
        if row.stage == Skin.Stage.LOST:
            return f"{row} was written off as lost on {row.lost_on}. Take that back on its page, then count it."
        made = ", ".join(
            part.article.number for part in row.parts.select_related("article").order_by("article__number")
        )
        return f"{row} is finished and gone into {made or 'a piece'}. Count the piece by its own number."
    return f"“{word[:40]}” is no tag and no number in the books. Check it, or take the skin in first."
