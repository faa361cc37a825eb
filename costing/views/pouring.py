"""The cards of putting a batch in work: each line of the recipe with what goes in, what the shelf lacks, and the ways out.

Reads only what it is handed. Which page shows the cards, and what a tap on a way out does, is `costing.views.work`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing import bath as chemistry
from costing.forms.work import PourLineForm
from costing.models import RecipeLine, RecipeVersion
from costing.selectors import mixing
from costing.selectors.batches import Amount, ShelfAllows, largest
from inventory import money, substances
from inventory.models import Material

MILD = "No usual hazard"
# A stand-in is measured out to this many decimals of a gram or a millilitre.
WEIGHED = 1


@dataclass(frozen=True)
class StandIn:
    """A material that could go in instead, and how much of it."""

    material: Material
    measure: str


@dataclass(frozen=True)
class Card:
    """One line of the recipe at the tub. `short` in the base unit of what goes in; `caution` of a swap, `care` of the thing.

    `unmeasured`: of its kind and by volume, so that a density or strength must be recorded before it can stand in.
    """

    form: PourLineForm
    wanted: Amount
    short: Decimal
    caution: str
    care: str
    stand_ins: tuple[StandIn, ...]
    unmeasured: tuple[Material, ...]
    now: bool

    @property
    def goes_in(self) -> Material:
        return self.form.goes_in

    @property
    def swapped(self) -> bool:
        return self.goes_in.pk != self.wanted.material.pk


def now_day(amounts: Sequence[Amount], state: str) -> int | None:
    """The day of the recipe whose lines come next: the earliest on which something still waits to be put in."""
    waiting = [each.line.day for each in amounts if each.left and each.waits(state)]
    return min(waiting, default=None)


def goes_in(line: RecipeLine, left: Decimal, instead: Material | None) -> tuple[Material, Decimal, str]:
    """What goes in for a line, how much of it (base unit), and what to mind where it is something else."""
    if instead is None or not left:
        return (instead or line.material), (Decimal(0) if instead else left), ""
    found = mixing.stand_in(line, left, instead)
    caution = "" if instead.substance == line.material.substance else found.caution
    return instead, money.half_up(mixing.held(instead, found.grams), WEIGHED), caution


def offered(line: RecipeLine, shelf: Sequence[Material]) -> list[Material]:
    """What could stand in for a line, of what grams of its substance can be told."""
    if not mixing.weighable(line.material):
        return []
    return [row for row in mixing.stand_ins(line, shelf) if mixing.weighable(row)]


def unmeasured(line: RecipeLine, shelf: Sequence[Material]) -> tuple[Material, ...]:
    """What is of the kind of a line, stands on the shelf by volume, and lacks the density or strength to stand in by."""
    kin = mixing.stand_ins(line, shelf)
    if not mixing.weighable(line.material):
        return (line.material,) if kin and line.material.base == "mL" else ()
    return tuple(row for row in kin if row.base == "mL" and row.on_hand and not mixing.weighable(row))


def cards(forms: Sequence[tuple[PourLineForm, str, bool]], shelf: Sequence[Material]) -> list[Card]:
    """A card for each line's form with its caution and whether it goes in now; lines of one material share one shelf."""
    froths = _froths(form.goes_in for form, _, now in forms if now)
    left = {form.goes_in.pk: form.goes_in.on_hand for form, _, _ in forms}
    made = []
    for form, caution, now in forms:
        wanted = form.quantity or Decimal(0)
        taken = min(wanted, left[form.goes_in.pk])
        left[form.goes_in.pk] -= taken
        short = wanted - taken
        made.append(
            Card(
                form=form,
                wanted=form.wanted,
                short=short,
                caution=caution,
                care=_care(form.goes_in, froths and now),
                stand_ins=_stand_ins(form, shelf) if short else (),
                unmeasured=unmeasured(form.wanted.line, shelf) if short else (),
                now=now,
            )
        )
    return made


def smaller(version: RecipeVersion, made: Sequence[Card], litres: Decimal | None) -> ShelfAllows | None:
    """The largest bath that the shelf allows of what is poured now, where that is smaller than the bath wanted."""
    if not litres:
        return None
    rates = []
    besides: dict[int, Decimal] = {}
    for card in made:
        each = card.wanted
        if not card.now or each.line.basis != "per_litre" or not card.form.quantity or not each.left:
            continue
        # Of a stand-in: as much as stands in for one litre of the recipe's own.
        rates.append((card.goes_in, Fraction(each.line.amount) * Fraction(card.form.planned) / Fraction(each.left)))
        besides[card.goes_in.pk] = each.used if not card.swapped else Decimal(0)
    found = largest(rates, version.litres_per_skin, besides)
    return found if found is not None and 0 < found.litres < litres else None


def _stand_ins(form: PourLineForm, shelf: Sequence[Material]) -> tuple[StandIn, ...]:
    """What the shelf holds enough of, other than what goes in already and what the recipe asks for."""
    found = []
    for material in offered(form.wanted.line, shelf):
        if material.pk == form.goes_in.pk or not form.wanted.left:
            continue
        _, quantity, _ = goes_in(form.wanted.line, form.wanted.left, material)
        if 0 < quantity <= material.on_hand:
            found.append(StandIn(material, mixing.in_measure(material, quantity, material.unit)))
    return tuple(found)


def _froths(poured: Iterable[Material]) -> bool:
    known = [row.substance for row in poured if row.substance]
    sour = any(slug in chemistry.ACIDS or chemistry.family(slug) == "alum" for slug in known)
    return sour and any(chemistry.family(slug) == "soda" for slug in known)


def _care(material: Material, froths: bool) -> str:
    known = substances.SUBSTANCES.get(material.substance)
    soda = chemistry.family(material.substance) == "soda"
    usual = known.hazard if known and not known.hazard.startswith(MILD) else ""
    told = (chemistry.FROTH_CAUTION if froths and soda else usual, material.hazard_note)
    return " ".join(words for words in told if words)


def typed(line: RecipeLine, data: Mapping[str, str]) -> dict[str, str]:
    """What was entered for a line before, in its form's own field names."""
    prefix = f"line-{line.pk}-"
    return {name: data[prefix + name] for name in ("amount", "unit") if prefix + name in data}
