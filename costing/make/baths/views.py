"""The page that works out a bath by a recipe. It asks and shows; nothing is written."""

from decimal import Decimal
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.make.baths import selectors as baths
from costing.make.baths.chemistry import bath as chemistry
from costing.make.baths.forms import BOXES, BathForm
from costing.make.recipes.models import Recipe, RecipeVersion
from costing.make.recipes.rules import BY_BATH
from inventory import money
from inventory.base import measures
from inventory.errors import Refused
from inventory.web.trail import page, to

VERDICTS = {
    "ok": ("ok", "dissolves"),
    "near": ("watch", "near the limit: crystals may fall on a cold night"),
    "over": ("late", "more than the water holds: it stays undissolved or falls as crystals"),
    "unknown": ("wait", "not known at this temperature: see the safety data sheet"),
}

FULL = 100
ONE_LITRE = Decimal(1)


@require_safe
def recipe_bath(request: HttpRequest, code: str) -> HttpResponse:
    recipe = get_object_or_404(Recipe, code=code)
    version, number = _version(recipe, request.GET.get("version", ""))
    form, found = _asked(request, version, number)
    return page(
        request,
        "costing/make/baths/bath.html",
        f"A bath by {recipe.code}",
        to(recipe),
        version=version,
        form=form,
        bath=found,
        each=measures.each(),
        waters=[_water(row, found.celsius) for row in found.facts.saturation] if found else [],
    )


def _version(recipe: Recipe, asked: str) -> tuple[RecipeVersion, int | None]:
    """The newest version, or the one in the address; its number only where the address named it."""
    rows = recipe.versions.select_related("recipe").order_by("-number")
    if not asked:
        found = rows.first()
        if found is None:
            raise Http404("This recipe has no version yet.")
        return found, None
    if not asked.isascii() or not asked.isdigit() or len(asked) > 5:
        raise Http404("No such version.")
    return get_object_or_404(rows, number=int(asked)), int(asked)


def _asked(request: HttpRequest, version: RecipeVersion, number: int | None) -> tuple[BathForm, baths.Bath | None]:
    known = baths.all_of(version)
    days, lines = ([rows[0].day for rows in known], [line for rows in known for line in rows if line.basis in BY_BATH])
    asks = set(request.GET) - {"version"}
    form = BathForm(request.GET if asks else None, kin=baths.kin(lines), days=days, number=number)
    if not asks or not form.is_valid():
        return form, None
    asked = form.cleaned_data
    try:
        return form, baths.bath(
            version,
            **{name: asked[name] for name in ("litres", "skins", "float_ratio", "vessel")},
            weight_g=form.weight_g(),
            celsius=chemistry.SHED_CELSIUS if asked["celsius"] is None else asked["celsius"],
            use=form.used(),
            day=asked.get("day"),
        )
    except Refused as refusal:
        box = BOXES.get(refusal.field or "", refusal.field)
        form.add_error(box if box in form.fields else None, str(refusal))
        return form, None


def _water(row: chemistry.Saturation, celsius: Decimal) -> dict[str, Any]:
    """A substance beside what water holds: `filled` percent of it, a mark, and the same in words."""
    mark, words = VERDICTS[row.verdict]
    each = measures.each()
    filled, said = 0, f"{measures.in_one(row.g_per_litre, 'g', ONE_LITRE)} {each[:1].lower()}{each[1:]}"
    if row.held is not None:
        filled = min(FULL, int(money.half_up(FULL * row.g_per_litre / row.held, 0)))
        said += f", of {measures.in_one(row.held, 'g', ONE_LITRE)} that plain water holds at {measures.warmth(celsius)}"
    return {"name": row.name, "filled": filled, "mark": mark, "words": words, "said": said}
