"""The page of one skin: facts, cost so far with every line, stays, articles; its loss, or whether to go on with it."""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from costing.make.batches.stays import selectors as stays
from costing.make.cost.rules import Share
from costing.make.frames import selectors as frames
from costing.make.labour.rules import Usual
from costing.make.losses import selectors as losses_read
from costing.make.readings import selectors as readings
from costing.make.readings.areas import selectors as areas
from costing.make.readings.drying.rules import Window
from costing.report.losses import views as losses
from costing.report.losses.forms import AskedForm
from costing.report.skins import selectors as skins
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.permits import Act, may
from inventory.places.moves import views as moves
from inventory.templatetags.figures import hours, money
from inventory.web.trail import above, page


@require_safe
def skin(request: HttpRequest, tag: str) -> HttpResponse:
    """`?price=` says at what price the hour's earning is told."""
    row = get_object_or_404(areas.marked(stays.skin_detailed()), tag=tag)
    cost = skins.cost_of(row)
    alive = row.stage in (Skin.Stage.RAW, Skin.Stage.IN_WORK)
    return page(
        request,
        "costing/report/skins/skin.html",
        row.tag,
        above(row),
        skin=row,
        cost=cost,
        here=next((stay for stay in row.stays.all() if stay.left_on is None), None),
        alive=alive,
        on_frame=frames.still_on().filter(skin=row).first() if alive else None,
        job=getattr(row, "job", None) if row.theirs else None,
        may_finish=may(request.user, Act.PRICES),
        readings=readings.listed(skin=row),
        photo_areas=areas.of_skin(row),
        dries=areas.dries(row),
        new_url=reverse("reading_new_skin", args=[row.tag]),
        **moves.whereabouts(row, request.user),
        **_ahead(request, row, cost.price.share, alive=alive),
    )


def _ahead(request: HttpRequest, row: Skin, share: Share, *, alive: bool) -> dict[str, Any]:
    """What may be said of softening and of going on with it; of a lost one, both ways to allocate its loss."""
    # One that its owner took home undone is neither.
    job = getattr(row, "job", None)
    if job is not None and job.given_back:
        return {}
    if row.lost_on is not None:
        return {"lost": losses_read.both(row, share), "may_spread": may(request.user, Act.PRICES)}
    # Of a raw hide that waits in salt there is nothing to say.
    if not alive or (row.stage == Skin.Stage.RAW and not share.own_minutes):
        return {}
    found = _softening(request, row, share)
    return {**found, **losses.of_going_on(request, row, share, found["soft"].price_left)}


def _softening(request: HttpRequest, row: Skin, share: Share) -> dict[str, Any]:
    """The state of softening, with the words under its figures."""
    form = AskedForm(request.GET if "price" in request.GET else None)
    price = form.cleaned_data["price"] if form.is_bound and form.is_valid() else None
    soft = skins.of_skin(row, price, share)
    after = soft.earned.after if soft.earned else None
    window = skins.dryings([row])[0].window
    return {
        "soft": soft,
        "asked": form,
        "window": window,
        "window_state": _stands(window, workshop.today()) if window else "",
        "soft_usual": _usual(soft.usual_soft),
        "all_usual": _usual(soft.usual),
        # The earning of an hour of which a few minutes are worked says nothing yet.
        "earns": soft.earned.now if soft.earned and soft.minutes_so_far >= skins.SESSION_MINUTES else None,
        "after_one": f"{money(after)} after another {skins.SESSION_MINUTES} minutes" if after is not None else "",
    }


def _stands(window: Window, today: date) -> str:
    """Whether the window is ahead, open or past on a day; times within a day are not as sure as that."""
    if today < timezone.localtime(window.begins).date():
        return "ahead"
    return "past" if today > timezone.localtime(window.ends).date() else "open"


def _usual(found: Usual | None) -> str:
    """The usual of its kind, and from where to where."""
    if found is None:
        return ""
    if found.count == 1:
        return f"the one finished took {hours(found.median)}"
    return f"usual {hours(found.median)}: {hours(found.low)} to {hours(found.high)} over {found.count}"
