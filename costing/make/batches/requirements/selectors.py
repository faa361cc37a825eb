"""What a batch needs: scaled amounts with their days, what is still to be put in, and what the shelf allows.

What another alum or soda brought in place of a recipe's own counts against its line, by metal or by alkali.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from costing.make.batches.logs.selectors import Log, Sack, logs
from costing.make.batches.models import Batch, BatchSkin
from costing.make.baths.chemistry import substitution as chemistry
from costing.make.errors import MissingMeasure
from costing.make.recipes import rules as recipes, selectors as recipes_read
from costing.make.recipes.models import RecipeLine, RecipeVersion
from costing.make.steps import schedule, selectors as steps
from costing.make.steps.models import StepMark
from inventory import units
from inventory.base import measures as own_measures, selectors as workshop
from inventory.models import Material
from inventory.money import half_up

ML_PER_LITRE = Decimal(1000)
WEIGHED_OUT = Decimal("0.001")
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Amount:
    """A recipe line scaled to a batch, in the material's base unit. `planned` None: a measure is missing, see `missing`.

    `used` counts what stood in for it, too; `instead` names that. It is `due` on its day of the calendar and safe until
    `latest`; `skipped`: the maker left it out and said why; `over`: its step has ended.
    """

    line: RecipeLine
    material: Material
    planned: Decimal | None
    used: Decimal
    missing: str
    instead: tuple[str, ...]
    due: date
    latest: date
    skipped: bool
    over: bool

    @property
    def left(self) -> Decimal:
        """What is still to be put in: not the last digits that nobody could weigh out."""
        planned = self.planned or Decimal(0)
        rest = max(Decimal(0), planned - self.used)
        return Decimal(0) if self.used and rest <= planned * WEIGHED_OUT else rest

    @property
    def short(self) -> Decimal:
        return max(Decimal(0), self.left - self.material.on_hand)

    def waits(self, state: str) -> bool:
        """Whether it is still to come: once a line of a batch in work was put in, the maker used what it took."""
        if self.skipped or self.over or state == Batch.State.DONE:
            return False
        return state == Batch.State.PLANNED or not self.used


@dataclass(frozen=True)
class Account:
    """The lines of a batch, and by material (its key) what went in besides them, in base units."""

    amounts: list[Amount]
    besides: Mapping[int, Decimal]


@dataclass(frozen=True)
class ShelfAllows:
    """The largest bath in tenths that the shelf allows: litres, whole skins where the recipe knows them, and what limits it."""

    litres: Decimal
    skins: int | None
    limited_by: str

    def words(self) -> str:
        skins = "" if self.skins is None else f", {self.skins} skin{'' if self.skins == 1 else 's'}"
        return f"{own_measures.tenths(self.litres)}{skins}"


def measures(batch: Batch, there: Sequence[BatchSkin] = ()) -> recipes.Measures:
    """What is known of the batch for scaling, by the skins that were `there`, or where none were by all that it has or is
    planned for. Skins planned but not yet named count by number, not by weight or area."""
    skins = [stay.skin for stay in there or batch.stays.all()]
    count = len(there) or max(batch.planned_skins, len(skins))
    weights = [skin.green_weight for skin in skins if skin.green_weight]
    areas = [area for skin in skins if (area := skin.wet_area or skin.dry_area)]
    whole = len(skins) == count > 0
    return recipes.Measures(
        litres=batch.litres / ML_PER_LITRE if batch.litres else None,
        skins=count,
        weight_g=sum(weights, Decimal(0)) if whole and len(weights) == len(skins) else None,
        area_cm2=sum(areas, Decimal(0)) if whole and len(areas) == len(skins) else None,
    )


def amounts(batch: Batch, until: date | None = None, log: Log | None = None) -> list[Amount]:
    """The scaled lines of a batch (from `detailed()`), each with what went in for it and its day, in the recipe's order."""
    return account(batch, until, log).amounts


def account(batch: Batch, until: date | None = None, log: Log | None = None) -> Account:
    """Everything a batch took, counted once: against the line it was put in for, else by the day it went in.

    By the day it counts for the lines of its material that were open then, the earliest first up to what they want and the
    rest for the last of them. A line is open from the end of the step before its own, so that salt for curing is not yet the
    salt of the bath. What finds no line stands beside the recipe.
    """
    on = workshop.today() if until is None else until
    log = log or logs([batch], on)[batch.pk]
    lines = sorted(batch.version.lines.all(), key=lambda line: (line.day, line.position))
    days = _days(batch, lines, on, log.marks)
    wanted, missing = {}, {}
    for line in lines:
        known = measures(batch, _there(batch, days[line.pk].measured))
        try:
            wanted[line.pk] = recipes.scale(recipes_read.exact(line), line.basis, known, line.material.name)
        except MissingMeasure as refusal:
            missing[line.pk] = str(refusal)
    went: dict[int, Decimal] = {line.pk: Decimal(0) for line in lines}
    sacks = {pk: replace(sack, parts=list(sack.parts)) for pk, sack in log.sacks.items()}
    for pk, sack in sacks.items():
        _count_own([line for line in lines if line.material_id == pk], days, wanted, went, sack)
    instead = {line.pk: _count_stand_ins(line, days[line.pk], wanted, went, sacks) for line in lines}
    found = [
        Amount(
            line=line,
            material=line.material,
            planned=wanted.get(line.pk),
            used=went[line.pk],
            missing=missing.get(line.pk, ""),
            instead=instead[line.pk],
            due=days[line.pk].due,
            latest=days[line.pk].latest,
            skipped=line.pk in log.skipped,
            over=days[line.pk].over,
        )
        for line in sorted(lines, key=lambda line: line.position)
    ]
    beside = {pk: sum((part.quantity for part in sack.parts), Decimal(0)) for pk, sack in sacks.items()}
    return Account(found, {pk: quantity for pk, quantity in beside.items() if quantity})


def besides(found: Account, used: Iterable[Material]) -> list[tuple[Material, Decimal]]:
    """What went in besides the recipe, by name; of all materials that were used."""
    rows = {row.pk: row for row in used if row.pk in found.besides}.values()
    return sorted(((row, found.besides[row.pk]) for row in rows), key=lambda pair: pair[0].name)


@dataclass(frozen=True)
class _Days:
    """When a line's material counts for it (from `opens` on), when it is due, until when that is safe; its step is `over`.

    It is `measured` by the skins that are there now, or were when its step ended.
    """

    opens: date
    due: date
    latest: date
    over: bool
    measured: date


def _days(batch: Batch, lines: Iterable[RecipeLine], on: date, rows: Sequence[StepMark]) -> dict[int, _Days]:
    plan = list(batch.version.steps.all())
    marks = steps.as_marks(rows)
    spans = recipes.spans(plan)
    ahead = {laid.step.key: laid for laid in steps.laid(batch, on, marks)}
    # When it opens must not wait for steps that nobody logged.
    logged = {laid.step.key: laid for laid in schedule.lay_out(steps.as_steps(plan, 0), batch.start, marks)}
    found = {}
    for line in lines:
        if line.step is None:
            due = batch.start + timedelta(days=line.day)
            found[line.pk] = _Days(batch.start + ONE_DAY if line.day else date.min, due, due, over=False, measured=on)
            continue
        laid, nth = ahead[line.step.name], line.day - spans[line.step.name][0]
        before, first = logged[line.step.name], line.step.pk == plan[0].pk
        opens = before.begins + ONE_DAY if nth else before.begins - timedelta(days=line.step.wait_days)
        due, latest = _due(laid, nth)
        opens = date.min if first and not nth else opens
        found[line.pk] = _Days(opens, due, latest, over=laid.ended is not None, measured=laid.ended or on)
    return found


def _there(batch: Batch, on: date) -> list[BatchSkin]:
    """Whom a line is measured by: those in the batch on a day. Of a plan, and where nobody is left, all that it has."""
    return [] if batch.state == Batch.State.PLANNED else steps.there_on(batch, on)


def _due(laid: schedule.Laid, nth: int) -> tuple[date, date]:
    """When something is due that goes in on the `nth` day of a step, and until when that is safe.

    What goes in as a lasting step ends moves with its end and shares its days of grace; within it a day is a day.
    """
    if nth >= laid.step.lasts_days:
        return laid.due, laid.latest
    day = laid.begins + timedelta(days=nth)
    return day, day


def _count_own(
    lines: Sequence[RecipeLine],
    days: Mapping[int, _Days],
    wanted: Mapping[int, Decimal],
    went: dict[int, Decimal],
    sack: Sack,
) -> None:
    """Against the lines that ask for this very material; what is left stays in the sack."""
    own = {line.pk for line in lines}
    left = []
    for part in sack.parts:
        if part.line in own:
            went[part.line] += part.quantity
            continue
        open_ = [line.pk for line in lines if days[line.pk].opens <= part.on] if part.line is None else []
        if not open_:
            left.append(part)
            continue
        rest = part.quantity
        for pk in open_:
            took = min(rest, max(Decimal(0), wanted.get(pk, Decimal(0)) - went[pk]))
            went[pk] += took
            rest -= took
        went[open_[-1]] += rest
    sack.parts = left


def _count_stand_ins(
    line: RecipeLine, days: _Days, wanted: Mapping[int, Decimal], went: dict[int, Decimal], sacks: Mapping[int, Sack]
) -> tuple[str, ...]:
    """What was put in for a line as something else of its kind, by metal or by alkali, and as what."""
    names = []
    each = _grams_each(line.material.base, line.material.density_g_per_ml)
    kin = chemistry.family(line.material.substance) if each else ""
    for pk, sack in sacks.items():
        missing = wanted.get(line.pk, Decimal(0)) - went[line.pk]
        grams_each = _grams_each(sack.base, sack.density)
        alike = pk != line.material_id and kin and chemistry.family(sack.substance) == kin
        if not alike or missing <= 0 or each is None or grams_each is None:
            continue
        mine = [part for part in sack.parts if part.line == line.pk or (part.line is None and days.opens <= part.on)]
        quantity = sum((part.quantity for part in mine), Decimal(0))
        grams = half_up(Fraction(quantity) * grams_each, recipes.PLACES)
        if not grams:
            continue
        brings = chemistry.substitute(grams, sack.substance, line.material.substance).grams
        worth = half_up(Fraction(brings) / each, recipes.PLACES)
        took = min(worth, missing)
        rest = half_up(Fraction(quantity) * (1 - Fraction(took) / Fraction(worth)), recipes.PLACES)
        others = [part for part in sack.parts if part not in mine]
        sack.parts = [*others, *([replace(mine[-1], quantity=rest)] if rest else [])]
        # It was weighed out to a tenth of a gram: what that leaves open is no rest still to be put in.
        went[line.pk] += missing if missing - took <= missing * WEIGHED_OUT else took
        names.append(sack.name)
    return tuple(names)


def _grams_each(base: str, density: Decimal | None) -> Fraction | None:
    """Grams that one base unit weighs; None where that is not known."""
    kind = units.metric_of(base)
    each = Fraction(1) if kind == "g" else Fraction(density) if kind == "mL" and density else None
    return each and each * units.ratio(base, kind)


def shelf_allows(version: RecipeVersion, lines: Iterable[RecipeLine]) -> ShelfAllows | None:
    """The largest bath of this recipe, by its lines, from what is on the shelf; None when nothing in it goes by the litre."""
    rates = [(line.material, recipes_read.per_litre(line)) for line in lines if line.basis in recipes.BY_BATH]
    return largest(rates, version.litres_per_skin)


def largest(
    rates: Iterable[tuple[Material, Fraction]],
    each_skin: Decimal | None,
    besides: Mapping[int, Decimal] = MappingProxyType({}),
) -> ShelfAllows | None:
    """The largest bath for materials at a rate a litre (base units); None without any. `each_skin` in mL. What of a material
    (by primary key) is in the bath already, `besides`, need not come from the shelf."""
    per_litre: dict[str, Fraction] = defaultdict(Fraction)
    stock: dict[str, Decimal] = {}
    for material, rate in rates:
        per_litre[material.name] += rate
        stock[material.name] = material.on_hand + besides.get(material.pk, Decimal(0))
    if not per_litre:
        return None
    most, limited_by = recipes.largest_bath(stock, per_litre)
    litres = own_measures.within(most)
    skins = recipes.skins_allowed(litres, each_skin / ML_PER_LITRE) if each_skin else None
    return ShelfAllows(litres, skins, limited_by)
