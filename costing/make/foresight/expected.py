"""What pieces still in work will have cost when they are done: what they cost so far, and what their recipe still asks for.

Owns the joining of the two. Must not price a material (the caller brings the prices), round, or say what to sell for.
Materials still to come are those of the recipe; hours still to come are the planned ones of steps that have not ended.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.make.batches.logs.selectors import Log, logs
from costing.make.batches.models import Batch, BatchSkin
from costing.make.cost import selectors as cost_read
from costing.make.cost.rules import Share
from costing.make.foresight.what_if import Needs, Usual, usual_price
from costing.make.recipes.models import RecipeStep, TaskKind
from costing.make.steps import schedule, selectors as steps
from costing.make.steps.agenda import selectors as agenda
from costing.make.steps.plans import selectors as plans
from inventory.models import Material

# By material (its key) what a base unit costs.
Prices = Mapping[int, Fraction]
NOTHING = Fraction(0)


@dataclass(frozen=True)
class Piece:
    """A skin that will be a piece: its tag, or empty while it is not named; `share` without the materials still to come, of which
    it bears `part`."""

    tag: str
    share: Share
    part: Fraction


@dataclass(frozen=True)
class Expected:
    """One batch that is not done, or one more. `lines`: what is still to go in, in base units; `missing`: what is too, nobody knows
    how much of. `skin_price`: what a skin that is not named yet is taken to cost."""

    name: str
    batch: Batch | None
    lines: tuple[tuple[Material, Decimal], ...]
    pieces: tuple[Piece, ...]
    skin_price: Usual | None = None
    missing: tuple[str, ...] = ()

    def takes(self, material: Material) -> bool:
        """Whether some of it is still to go in, as far as one knows."""
        return any(row == material for row, _ in self.lines) or material.name in self.missing

    def materials(self, prices: Prices) -> Fraction:
        """What is still to go in costs; what has no price counts for nothing."""
        return sum((Fraction(quantity) * prices.get(row.pk, NOTHING) for row, quantity in self.lines), NOTHING)

    def shares(self, prices: Prices) -> list[tuple[str, Share]]:
        """Of each piece its tag and all that it will have cost."""
        whole = self.materials(prices)
        return [(each.tag, each.share + Share(materials=whole * each.part)) for each in self.pieces]

    @property
    def unnamed(self) -> int:
        return sum(1 for each in self.pieces if not each.tag)


def of_batches(on: date) -> list[Expected]:
    """Every batch that is planned or in work, the earliest first. Queries grow with the recipes of unnamed skins alone."""
    batches = [batch for batch in agenda.live(on) if batch.state != Batch.State.DONE]
    written = logs(batches, on)
    here = {batch.pk: steps.there_on(batch, on) for batch in batches}
    so_far = cost_read.skin_shares(stay.skin for there in here.values() for stay in there)
    nameless = cost_read.batch_shares(batch for batch in batches if not batch.stays.all())
    recipes = {batch.version.recipe for batch in batches if _unnamed(batch, here[batch.pk])}
    usual = {recipe.pk: usual_price(recipe) for recipe in recipes}
    found = []
    for batch in batches:
        _, unborne = nameless.get(batch.pk, ({}, Share()))
        work, lines, missing = _ahead(batch, written[batch.pk], on)
        price = usual.get(batch.version.recipe_id) if _unnamed(batch, here[batch.pk]) else None
        pieces = _pieces(batch, here[batch.pk], so_far, work, unborne, price)
        found.append(Expected(batch.number, batch, lines, pieces, price, missing))
    return found


def of_extra(needs: Needs) -> Expected:
    """One more batch by its recipe: the minutes of every step, a lacing where it has one, skins at their usual price."""
    rows = list(needs.version.steps.all())
    minutes = Fraction(schedule.hands_minutes_total(steps.as_steps(rows, needs.skins)))
    price = usual_price(needs.version.recipe)
    part = Fraction(1, needs.skins)
    share = Share(minutes=minutes, own_minutes=minutes).times(part) + _bought(price) + _laced(rows)
    lines = tuple((row, need.quantity) for row, need in needs.lines)
    return Expected(needs.words, None, lines, (Piece("", share, part),) * needs.skins, price)


def _unnamed(batch: Batch, there: Sequence[BatchSkin]) -> int:
    """How many of its skins are not named yet."""
    open_ = batch.state == Batch.State.PLANNED or not batch.stays.all()
    return max(0, batch.planned_skins - len(there)) if open_ else 0


def _ahead(batch: Batch, log: Log, on: date) -> tuple[Share, tuple[tuple[Material, Decimal], ...], tuple[str, ...]]:
    """The planned minutes and lacings that are still to come, the materials, and the names of those nobody knows how much of."""
    rows = plans.of_batch(batch, log, on)
    minutes = Fraction(sum(row.minutes for row in rows))
    laced = _laced(row.step for row in rows if row.step and row.kind == "step")
    amounts = [row.addition.amount for row in rows if row.addition]
    lines = tuple((amount.material, amount.left) for amount in amounts if amount.left)
    missing = tuple(dict.fromkeys(amount.material.name for amount in amounts if amount.planned is None))
    return Share(minutes=minutes, own_minutes=minutes, laces=laced.laces), lines, missing


def _pieces(
    batch: Batch,
    there: Sequence[BatchSkin],
    so_far: Mapping[str, Share],
    work: Share,
    unborne: Share,
    price: Usual | None,
) -> tuple[Piece, ...]:
    """What the batch is allocated, as it shares; by head where a skin is not named yet. Every skin is laced for itself."""
    unnamed = _unnamed(batch, there)
    laced, shared = Share(laces=work.laces), Share(minutes=work.minutes, own_minutes=work.own_minutes) + unborne
    weights = [Fraction(1)] * len(there)
    if not unnamed:
        weights = [stay.weight for stay in cost_read.as_stays(batch.share_by, there)]
    whole = sum(weights, NOTHING) + unnamed
    named = [
        Piece(stay.skin.tag, so_far[stay.skin.tag] + shared.times(weight / whole) + laced, weight / whole)
        for stay, weight in zip(there, weights, strict=True)
    ]
    if not unnamed:
        return tuple(named)
    part = 1 / whole
    return (*named, *[Piece("", _bought(price) + shared.times(part) + laced, part)] * unnamed)


def _bought(price: Usual | None) -> Share:
    return Share(skin_price=Fraction(price.value)) if price else Share()


def _laced(rows: Iterable[RecipeStep]) -> Share:
    """One lacing for each step that laces."""
    return Share(laces=Fraction(sum(1 for row in rows if row.kind == TaskKind.LACE)))
