"""The bath as plain data for JSON, and in words. Numbers are strings: no reader shall make floats of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from costing.make.baths import selectors as baths
from costing.make.baths.chemistry.bath import strength
from costing.make.baths.selectors import Bath, BathLine
from costing.models import Recipe, RecipeVersion
from inventory import units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Material, Place
from workshop.answers.plain import Shape, amount, coins

MOST = Decimal(1_000_000)
GRAMS = Decimal(1000)
HELD = {"ok": "dissolves", "near": "near the limit", "over": "too much for the water", "unknown": "not known"}


@dataclass(frozen=True)
class Asked:
    """The words of a command line or a link, not yet judged."""

    recipe: str
    litres: str | None = None
    weight: str | None = None
    float_ratio: str | None = None
    vessel: str | None = None
    skins: str | None = None
    celsius: str | None = None
    use: Sequence[str] = ()
    version: str | None = None
    day: str | None = None


def bath_answer(asked: Asked) -> Shape:
    version = _version(asked.recipe, whole(asked.version, "The version", "version"))
    weight = figure(asked.weight, "The weight of the skins", "weight_g")
    celsius = figure(asked.celsius, "The temperature", "celsius")
    found = baths.bath(
        version,
        vessel=_place(asked.vessel),
        litres=figure(asked.litres, "The litres", "litres"),
        weight_g=None if weight is None else weight * GRAMS,
        float_ratio=figure(asked.float_ratio, "The float", "float_ratio"),
        skins=whole(asked.skins, "The number of skins", "skins"),
        use=[_material(code) for code in asked.use],
        day=whole(asked.day, "The day", "day"),
        **({} if celsius is None else {"celsius": celsius}),
    )
    return bath_shape(found)


def bath_shape(found: Bath) -> Shape:
    facts = found.facts
    return {
        "recipe": found.version.recipe.code,
        "version": str(found.version.number),
        "day": str(found.day),
        "litres": plain(found.litres),
        "celsius": plain(found.celsius),
        "skins": None if found.skins is None else str(found.skins),
        "currency": workshop.current().currency,
        "lines": [_line(line, found) for line in found.lines],
        "aluminium": {"mol": f"{facts.aluminium_mol:f}", "g": f"{facts.aluminium_g:f}"},
        "alkalis": [
            {"substance": row.substance, "mol": f"{row.mol:f}", "hydroxide_mol": f"{row.hydroxide_mol:f}"}
            for row in facts.alkalis
        ],
        "basicity": None if facts.basicity is None else f"{facts.basicity:f}",
        "gas": f"{facts.co2_litres:f}",
        "headroom": f"{facts.headroom_litres:f}",
        "froth": facts.froth_warning,
        "saturation": [
            {
                "substance": row.substance,
                "g_per_litre": f"{row.g_per_litre:f}",
                "held": None if row.held is None else f"{row.held:f}",
                "verdict": row.verdict,
            }
            for row in facts.saturation
        ],
        "offer": _offer(found),
        "cost": {
            "total": coins(found.cost),
            "per_litre": coins(found.cost_per_litre),
            "per_skin": coins(found.cost_per_skin),
            "unpriced": list(found.unpriced),
        },
        "shelf": _shelf(found),
        "vessel": _vessel(found),
        "cautions": _cautions(found),
    }


def _line(line: BathLine, found: Bath) -> Shape:
    instead = line.instead_of
    return {
        "material": line.material.code,
        "name": line.material.name,
        "substance": line.material.substance or None,
        "instead_of": None if instead is None else instead.code,
        "asked": line.asked,
        "measure": line.measure,
        "quantity": amount(line.quantity, line.material),
        "weight": line.weight,
        "unit": line.material.unit,
        "strength": None if line.grams is None else f"{strength(line.grams, found.litres):f}",
        "on_hand": amount(line.material.on_hand, line.material),
        "short": amount(line.short, line.material),
        "value": coins(line.value),
    }


def _offer(found: Bath) -> Shape | None:
    if found.offer is None:
        return None
    return {
        "alum": found.offer.alum,
        "aluminium_g_per_kg": f"{found.offer.aluminium_g_per_kg:f}",
        "alum_g_per_kg": f"{found.offer.alum_g_per_kg:f}",
    }


def _shelf(found: Bath) -> Shape | None:
    allows = found.allows
    if allows is None:
        return None
    skins = None if allows.skins is None else str(allows.skins)
    return {"litres": plain(allows.litres), "skins": skins, "limited_by": allows.limited_by}


def _vessel(found: Bath) -> Shape | None:
    if found.vessel is None:
        return None
    small = found.too_small
    return {
        "place": found.vessel.name,
        "holds": None if found.vessel.litres is None else units.number(found.vessel.litres, "L"),
        "fits": None if found.vessel.litres is None else small is None,
        "largest": None if small is None else plain(small.largest),
        "said": "" if small is None else str(small),
    }


def _cautions(found: Bath) -> list[str]:
    """What to mind, the nearest first: a swap, the froth, the maker's own notes, then the usual ones of what goes in."""
    told = [line.caution for line in found.lines] + [words for line in found.lines for words in line.care]
    return [*dict.fromkeys(words for words in told if words), *(each.short for each in found.cautions)]


def bath_lines(found: Shape) -> Iterable[str]:
    cur, skins = found["currency"], found["skins"]
    heads = "" if skins is None else f", {skins} skin{'' if skins == '1' else 's'}"
    yield f"{found['recipe']} version {found['version']}: {found['litres']} L at {found['celsius']} °C{heads}. In this order:"
    for number, line in enumerate(found["lines"], start=1):
        yield f"  {number}. {_line_words(line, cur)}"
    yield from _chemistry(found)
    yield from _money(found)
    if found["vessel"]:
        yield _vessel_words(found["vessel"])
    for words in found["cautions"]:
        yield f"Mind: {words}"


def _vessel_words(vessel: Shape) -> str:
    if vessel["fits"] is None:
        return f"Nobody has measured how much {vessel['place']} holds, so whether it takes this bath is not known."
    taken = f"{vessel['place']} holds {vessel['holds']} L and takes it, with the room above it."
    return taken if vessel["fits"] else str(vessel["said"])


def _line_words(line: Shape, cur: str) -> str:
    both = line["measure"] if line["weight"] == line["measure"] else f"{line['measure']} ({line['weight']})"
    instead = f" instead of {line['asked']} {line['instead_of']}" if line["instead_of"] else ""
    worth = "not priced" if line["value"] is None else f"{line['value']} {cur}"
    short = "" if line["short"] == "0" else f"; {line['short']} {units.label(line['unit'])} short"
    return f"{line['name']}: {both}{instead}, {worth}{short}"


def _chemistry(found: Shape) -> Iterable[str]:
    if found["basicity"] is not None:
        soda = "".join(f"; {row['substance'].replace('_', ' ')} {row['mol']} mol" for row in found["alkalis"])
        yield f"Aluminium {found['aluminium']['mol']} mol{soda}; basicity {found['basicity']} %."
    if found["froth"]:
        yield f"Up to {found['gas']} L of carbon dioxide: leave {found['headroom']} L of room above the bath, and never close it."
    for row in found["saturation"]:
        if row["verdict"] != "ok":
            held = "" if row["held"] is None else f" of {row['held']} g"
            name = row["substance"].replace("_", " ").capitalize()
            yield f"{name}: {row['g_per_litre']} g{held} a litre, {HELD[row['verdict']]}."
    if offer := found["offer"]:
        yield f"On offer to each kg of skin: {offer['aluminium_g_per_kg']} g of aluminium, {offer['alum_g_per_kg']} g of alum."


def _money(found: Shape) -> Iterable[str]:
    cost, cur = found["cost"], found["currency"]
    each = "" if cost["per_skin"] is None else f", {cost['per_skin']} {cur} a skin"
    without = f" without {', '.join(cost['unpriced'])}" if cost["unpriced"] else ""
    yield f"It costs {cost['total']} {cur}{without}: {cost['per_litre']} {cur} a litre{each}."
    if shelf := found["shelf"]:
        skins = "" if shelf["skins"] is None else f", {shelf['skins']} skin{'' if shelf['skins'] == '1' else 's'}"
        yield f"The shelf allows {shelf['litres']} L{skins}; {shelf['limited_by']} is what ends first."


def figure(text: str | None, what: str, field: str) -> Decimal | None:
    """A decimal as makers type it, 1,5 or 1.5; nothing is None."""
    if text is None or not text.strip():
        return None
    try:
        value = Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        raise Refused(f"{what} “{text}” cannot be read as a number. Write it like 18 or 7.5.", field=field) from None
    if not value.is_finite() or abs(value) > MOST:
        raise Refused(f"{what} {text} is larger than any workshop holds. Check it.", field=field)
    return value


def whole(text: str | None, what: str, field: str) -> int | None:
    value = figure(text, what, field)
    if value is None:
        return None
    if value < 0 or value != value.to_integral_value():
        raise Refused(f"{what} must be a whole number that is not negative; {text} was given.", field=field)
    return int(value)


def plain(value: Decimal) -> str:
    return f"{value.normalize():f}"


def _version(code: str, number: int | None) -> RecipeVersion:
    recipe = Recipe.objects.filter(code__iexact=code).first()
    if recipe is None:
        known = ", ".join(Recipe.objects.order_by("code").values_list("code", flat=True)) or "none yet"
        raise Refused(f"There is no recipe {code}; there is {known}.", field="recipe")
    rows = recipe.versions.select_related("recipe").order_by("-number")
    found = (rows if number is None else rows.filter(number=number)).first()
    if found is None:
        raise Refused(f"{recipe.code} has no version {number}. Leave it out for the newest.", field="version")
    return found


def _material(code: str) -> Material:
    found = Material.objects.filter(code__iexact=code).first()
    if found is None:
        raise Refused(f"There is no material {code}. Its code stands on its page of the shelf.", field="use")
    return found


def _place(name: str | None) -> Place | None:
    if not name:
        return None
    found = Place.objects.filter(name__iexact=name).first()
    if found is None:
        raise Refused(f"There is no place {name}. Its name stands in the list of places.", field="vessel")
    if found.kind != Place.Kind.TUB:
        tubs = ", ".join(Place.objects.filter(kind=Place.Kind.TUB).order_by("name").values_list("name", flat=True))
        raise Refused(
            f"{found.name} is a {found.get_kind_display().lower()} and holds no bath. Name a tub: {tubs or 'none is entered yet'}.",
            field="vessel",
        )
    return found
