"""What if: one more batch, a material dearer, deliveries slower. Dates, costs and least prices now and then; nothing is kept.

The forecast, the costs and the prices are those of every other page, asked twice. The number of queries grows neither with
materials nor with batches.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.requirements.selectors import ShelfAllows
from costing.make.cost import rules as cost_rules
from costing.make.cost.rates import selectors as rates_read
from costing.make.cost.rates.rules import Rates
from costing.make.cost.rules import Share
from costing.make.errors import some
from costing.make.foresight import expected
from costing.make.foresight.expected import Expected, Prices
from costing.make.foresight.what_if import Needs, Usual
from costing.make.recipes import rules as recipes, selectors as recipes_read
from costing.make.recipes.models import RecipeLine, RecipeVersion
from costing.sell.pricing import rules as pricing, selectors as pricing_read
from costing.sell.pricing.what_if import words
from costing.sell.pricing.what_if.words import Changed, Line
from inventory import formats, money
from inventory.base import selectors as workshop
from inventory.foresight import advice, selectors as foresight
from inventory.foresight.selectors import NO_EXTRA, Outlook
from inventory.models import Material
from inventory.money import half_up

HUNDRED = Fraction(100)
SLOWER = {2: "twice", 3: "three times", 4: "four times"}


@dataclass(frozen=True)
class Question:
    """What is supposed; each may be left out. `percent` is what the price of `dearer` goes up by, `slower` how many times as long
    a delivery takes."""

    extra: Needs | None = None
    dearer: Material | None = None
    percent: Decimal = Decimal(0)
    slower: int = 1

    @property
    def asked(self) -> bool:
        return self.extra is not None or self.dearer is not None or self.slower > 1

    @property
    def times(self) -> Fraction:
        return 1 + Fraction(self.percent) / HUNDRED

    @property
    def said(self) -> list[str]:
        """What is supposed, in words."""
        told = [self.extra.words] if self.extra else []
        if self.dearer:
            told.append(f"{self.dearer.name} {formats.plain(self.percent)} % dearer")
        if self.slower > 1:
            told.append(f"Lead times {SLOWER[self.slower]} as long")
        return told


@dataclass(frozen=True)
class Terms:
    """What a least price rests on besides a cost: today's rates, the usual channel, and its tax. Read once."""

    rates: Rates
    channel: pricing.Channel
    footing: pricing.Footing

    def floors(self, who: str, share: Share) -> pricing.Floors:
        cost = cost_rules.rounded(share, self.rates, workshop.places())
        return pricing_read.Price(who, share, self.rates, cost, None, self.channel, self.footing).floors


@dataclass(frozen=True)
class Pieces:
    """Pieces of one batch that cost the same: who they are, and the least prices of one."""

    who: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class BatchCost:
    """What is still to go into a batch costs, and the least prices of its pieces."""

    expected: Expected
    materials: Line
    pieces: tuple[Pieces, ...]


@dataclass(frozen=True)
class Costs:
    """`batches`: those to which the question matters; `untouched`: those in work or planned to which it does not."""

    batches: tuple[BatchCost, ...]
    untouched: tuple[str, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class Answer:
    """`materials`: those that stand otherwise, the most pressing first. `fails`: the batch that lacks something first."""

    materials: tuple[Changed, ...]
    costs: Costs | None
    fails: Line

    @property
    def pressing(self) -> list[Changed]:
        return [each for each in self.materials if not each.later]

    @property
    def later(self) -> list[Changed]:
        return [each for each in self.materials if each.later]


def answer(question: Question, on: date) -> Answer:
    """What changes on a day by what is supposed; without a question, how it is now."""
    currency = workshop.current().currency
    now = foresight.outlooks(on)
    if not question.asked:
        return Answer((), None, _fails(None, now))
    needs = question.extra.by_material if question.extra else NO_EXTRA
    then = foresight.outlooks(on, extra=needs, slower=question.slower)
    dearer = {question.dearer.pk: question.times} if question.dearer else advice.AS_PAID
    buys_now, buys_then = advice.advices(now), advice.advices(then, dearer=dearer)
    before = {each.material.pk: each for each in now}
    found = [
        words.changed(before[each.material.pk], each, buys_now[each.material.pk], buys_then[each.material.pk], currency)
        for each in then
    ]
    costs = _costs(question, on) if question.extra or question.dearer else None
    return Answer(tuple(filter(None, found)), costs, _fails(now, then))


def largest(version: RecipeVersion | None = None) -> list[tuple[RecipeVersion, ShelfAllows]]:
    """The largest batch that the shelf allows as it is, of one recipe or of each; recipes without a bath have none."""
    rows = [version] if version else list(recipes_read.current())
    lines = RecipeLine.objects.filter(version__in=rows, basis__in=recipes.BY_BATH).select_related("material")
    rates: dict[int, list[tuple[Material, Fraction]]] = defaultdict(list)
    for line in lines:
        rates[line.version_id].append((line.material, recipes_read.per_litre(line)))
    found = ((row, requirements.largest(rates[row.pk], row.litres_per_skin)) for row in rows)
    return [(row, allows) for row, allows in found if allows]


def _fails(now: Sequence[Outlook] | None, then: Sequence[Outlook]) -> Line:
    """The batch that lacks something first if nothing more is bought."""
    after = _first(then)
    before = after if now is None else _first(now)
    return Line("Fails first", "" if now is None else before, after, "changed" if before != after else "")


def _first(outlooks: Iterable[Outlook]) -> str:
    short = [(each.forecast.first_short, each) for each in outlooks if each.forecast.first_short]
    if not short:
        return "no batch: the shelf and what is ordered are enough"
    day, who = min((max(need.on, each.forecast.on), need.why) for need, each in short)
    lacks = sorted(each.material.name for need, each in short if need.why == who)
    return f"{who} on {formats.day(day)}, for want of {some(lacks)}"


def _costs(question: Question, on: date) -> Costs:
    batches = expected.of_batches(on) if question.dearer else []
    every = ([expected.of_extra(question.extra)] if question.extra else []) + batches
    now = _prices(every)
    then = dict(now)
    if question.dearer and question.dearer.pk in now:
        then[question.dearer.pk] = now[question.dearer.pk] * question.times
    channel = pricing_read.channel()
    terms = Terms(rates_read.plain(), channel, pricing_read.footing().through(channel))
    touched, untouched = [], []
    for each in every:
        takes = question.dearer is not None and each.takes(question.dearer)
        if takes or each.batch is None:
            touched.append(_batch_cost(each, now if takes else None, then, terms))
        else:
            untouched.append(each.name)
    return Costs(tuple(touched), tuple(untouched), tuple(_assumed([each.expected for each in touched], now, channel)))


def _prices(every: Iterable[Expected]) -> Prices:
    """By material what a base unit costs: as at its last delivery, else the average on the shelf. One query."""
    rows = {row.pk: row for each in every for row, _ in each.lines}
    there = {pk: Fraction(row.value) / Fraction(row.on_hand) for pk, row in rows.items() if row.on_hand}
    return {**there, **advice.last_prices(rows.values())}


def _batch_cost(each: Expected, now: Prices | None, then: Prices, terms: Terms) -> BatchCost:
    currency, places = workshop.current().currency, workshop.places()
    before = None if now is None else half_up(each.materials(now), places)
    materials = words.sums("Materials still to go in", before, half_up(each.materials(then), places), currency)
    least_now = {} if now is None else _grouped(each, now, terms)
    pieces = []
    for tags, floors in _grouped(each, then, terms).items():
        was = least_now.get(tags)
        lines = tuple(
            words.sums(said, getattr(was, name) if was else None, getattr(floors, name), currency)
            for name, said in pricing.FLOORS.items()
        )
        pieces.append(Pieces(_who(tags), lines))
    return BatchCost(each, materials, tuple(pieces))


def _grouped(each: Expected, prices: Prices, terms: Terms) -> dict[tuple[str, ...], pricing.Floors]:
    """The least prices of pieces that will cost the same, by their tags."""
    alike: dict[Share, list[str]] = defaultdict(list)
    for tag, share in each.shares(prices):
        alike[share].append(tag)
    return {tuple(tags): terms.floors(each.name, share) for share, tags in alike.items()}


def _who(tags: Sequence[str]) -> str:
    """H21, H22 and 3 skins that are not named yet."""
    named = [tag for tag in tags if tag]
    unnamed = len(tags) - len(named)
    told = [some(named)] if named else []
    if unnamed:
        told.append(f"{unnamed} skin{'' if unnamed == 1 else 's'} not named yet")
    return " and ".join(told)


def _assumed(every: Sequence[Expected], now: Prices, channel: pricing.Channel) -> Iterable[str]:
    if not every:
        return
    yield "Materials still to go in cost what they did at their last delivery, without carriage, else their average on the shelf."
    yield "What is in a batch already keeps its cost."
    if unpriced := sorted({row.name for each in every for row, _ in each.lines if row.pk not in now}):
        yield f"No price is known of {some(unpriced)}: counted as nothing."
    for each in every:
        if each.missing:
            yield f"{each.name}: {some(each.missing)} not counted, for a weight or size of its skins or bath is not entered."
    yield "Each skin becomes one piece; steps that have not ended take their planned minutes, all of them your own."
    for price, names in _skin_prices(every).items():
        where = f"A skin not named yet ({some(names)})"
        if price is None:
            yield f"{where} is counted without a price: none of its kind is known."
        else:
            yield f"{where} costs {money.show(price.value, workshop.current().currency)}, {price.said}."
    sold = "without a selling cost" if channel == pricing_read.NO_CHANNEL else f"through “{channel.name}”"
    yield f"Least prices are those of a sale {sold}, at today's wage and overhead."


def _skin_prices(every: Iterable[Expected]) -> dict[Usual | None, list[str]]:
    """What a skin that is not named yet is taken to cost, and for which batches."""
    found: dict[Usual | None, list[str]] = defaultdict(list)
    for each in every:
        if each.unnamed:
            found[each.skin_price].append(each.name if each.batch else "one more batch")
    return found
