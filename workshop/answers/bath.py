"""The bath as plain data for JSON, and in words. Numbers are strings: no reader shall make floats of them."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from costing.make.baths import selectors as baths
from costing.make.baths.chemistry.bath import strength
from costing.make.baths.selectors import Bath, BathLine
from costing.make.errors import VesselTooSmall, plain
from costing.models import Recipe, RecipeVersion
from inventory import formats, units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Material, Place
from workshop.answers.plain import Shape, amount, coins, said, shape

MOST = Decimal(1_000_000)
GRAMS = Decimal(1000)
HELD = {"ok": "dissolves", "near": "near the limit", "over": "too much for the water", "unknown": "not known"}


def bath_answer(options: Mapping[str, Any]) -> Shape:
    """`options`: the words of the command line by their names, not yet judged."""
    version = _version(options["recipe"], _whole(options, "recipe_version", "The version"))
    weight = _figure(options, "weight", "The weight of the skins")
    celsius = _figure(options, "celsius", "The temperature")
    return _shape(
        baths.bath(
            version,
            vessel=_place(options["vessel"]),
            litres=_figure(options, "litres", "The litres"),
            weight_g=None if weight is None else weight * GRAMS,
            float_ratio=_figure(options, "float", "The float"),
            skins=_whole(options, "skins", "The number of skins"),
            use=[_material(code) for code in options["use"]],
            day=_whole(options, "day", "The day"),
            **({} if celsius is None else {"celsius": celsius}),
        )
    )


def _shape(found: Bath) -> Shape:
    facts = found.facts
    return {
        "recipe": found.version.recipe.code,
        "version": str(found.version.number),
        "day": str(found.day),
        "litres": plain(found.litres),
        "celsius": plain(found.celsius),
        "skins": said(found.skins),
        "currency": workshop.current().currency,
        "lines": [_line(line, found.litres) for line in found.lines],
        "aluminium": {"mol": said(facts.aluminium_mol), "g": said(facts.aluminium_g)},
        "alkalis": [shape(row, "substance", "mol", "hydroxide_mol") for row in facts.alkalis],
        "basicity": said(facts.basicity),
        "gas": said(facts.co2_litres),
        "headroom": said(facts.headroom_litres),
        "froth": facts.froth_warning,
        "saturation": [shape(row, "substance", "g_per_litre", "held", "verdict") for row in facts.saturation],
        "offer": found.offer and shape(found.offer, "alum", "aluminium_g_per_kg", "alum_g_per_kg"),
        "cost": {
            "total": coins(found.cost),
            "per_litre": coins(found.cost_per_litre),
            "per_skin": coins(found.cost_per_skin),
            "unpriced": list(found.unpriced),
        },
        "shelf": found.allows
        and {**shape(found.allows, "litres", "skins", "limited_by"), "litres": plain(found.allows.litres)},
        "vessel": found.vessel and _vessel(found.vessel, found.too_small),
        "cautions": _cautions(found),
    }


def _line(line: BathLine, litres: Decimal) -> Shape:
    material = line.material
    return {
        "material": material.code,
        "name": material.name,
        "substance": material.substance or None,
        "instead_of": line.instead_of and line.instead_of.code,
        "asked": line.asked,
        "measure": line.measure,
        "quantity": amount(line.quantity, material),
        "weight": line.weight,
        "unit": material.unit,
        "strength": None if line.grams is None else said(strength(line.grams, litres)),
        "on_hand": amount(material.on_hand, material),
        "short": amount(line.short, material),
        "value": coins(line.value),
        "day": str(line.recipe.day),
    }


def _vessel(vessel: Place, small: VesselTooSmall | None) -> Shape:
    holds = vessel.litres
    return {
        "place": vessel.name,
        "holds": None if holds is None else units.number(holds, "L"),
        "fits": None if holds is None else small is None,
        "largest": small and plain(small.largest),
        "said": str(small or ""),
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
        later = "" if line["day"] == found["day"] else f", on day {line['day']}"
        yield f"  {number}. {_line_words(line, cur)}{later}"
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


def _figure(options: Mapping[str, Any], name: str, what: str) -> Decimal | None:
    """A decimal as makers type it, 1,5 or 1.5; nothing is None."""
    text = options[name]
    if not (text or "").strip():
        return None
    try:
        value = formats.current().read(text)
    except Refused as refusal:
        raise Refused(f"{what} cannot be read: {refusal}", field=name) from None
    if abs(value) > MOST:
        raise Refused(f"{what} {text} is larger than any workshop holds. Check it.", field=name)
    return value


def _whole(options: Mapping[str, Any], name: str, what: str) -> int | None:
    value = _figure(options, name, what)
    if value is None:
        return None
    if value < 0 or value != value.to_integral_value():
        raise Refused(f"{what} must be a whole number that is not negative; {options[name]} was given.", field=name)
    return int(value)


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
