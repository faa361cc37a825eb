"""The design page and the light switch. The values live in tokens.css, the components in templates/parts.

The page shows every token and component from sample figures (samples.py) and touches no record.
"""

import re
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from workshop.look import samples as look_samples

TOKENS = Path(__file__).resolve().parent.parent / "static" / "workshop" / "tokens.css"
# What a device keeps for itself: the light of its pages, and whether the key / leads into the search.
CHOICES = {"light": ("day", "dark"), "slash": ("off",)}
ONE_YEAR = 365 * 24 * 60 * 60


@lru_cache(maxsize=1)
def token_sets() -> tuple[dict[str, str], ...]:
    """The sets of tokens.css in file order: day, dark asked for by the device, dark asked for by the switch."""
    css = re.sub(r"/\*.*?\*/", "", TOKENS.read_text("utf-8"), flags=re.DOTALL)
    bodies = re.findall(r":root[^{]*\{([^}]*)\}", css)
    return tuple(dict(re.findall(r"(--[\w-]+):\s*([^;]+);", body)) for body in bodies)


def colours(tokens: dict[str, str]) -> dict[str, str]:
    """The tokens that are one plain colour, for swatches."""
    return {name: value for name, value in tokens.items() if value.startswith("#")}


@require_safe
def look(request: HttpRequest) -> HttpResponse:
    """Every token and component with its states: for who builds pages, hence only with TAWERY_DEBUG=1."""
    if not settings.DEBUG:
        raise Http404
    day, dark, _ = token_sets()
    swatches = [(name, value, dark[name]) for name, value in colours(day).items()]
    sizes = [(name, value) for name, value in day.items() if name not in colours(day)]
    return render(
        request, "workshop/look/look.html", {"swatches": swatches, "sizes": sizes, **look_samples.context(request)}
    )


@login_not_required
@require_POST
def set_light(request: HttpRequest) -> HttpResponse:
    """Keep what was chosen in a cookie of this device and go back to the page; a choice that is none forgets the cookie."""
    back = request.POST.get("next", "")
    safe = url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}, require_https=request.is_secure())
    answer = HttpResponseRedirect(back if safe else "/")
    name = next((name for name in CHOICES if name in request.POST), "light")
    choice = request.POST.get(name)
    if choice in CHOICES[name]:
        answer.set_cookie(name, choice, max_age=ONE_YEAR, httponly=True, samesite="Lax", secure=request.is_secure())
    else:
        answer.delete_cookie(name, samesite="Lax")
    return answer
