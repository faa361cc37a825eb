"""Copies in Setup: the list, one made now, one taken away, and the maker's word that one lies elsewhere. The owner's alone."""

from ipaddress import ip_address

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_POST, require_safe

from inventory.permits import Act, require
from inventory.web.trail import page
from workshop.transfer.copies import rules, services, shelf


@require_safe
def copies(request: HttpRequest) -> HttpResponse:
    require(request.user, Act.SETUP)
    return page(
        request,
        "workshop/setup/copies.html",
        "Copies",
        ("setup",),
        rows=shelf.listed(),
        folder=shelf.folder(),
        known=shelf.known(),
        nag=shelf.nag(),
        kept=(rules.DAYS, rules.WEEKS, rules.MONTHS),
    )


@require_POST
def make(request: HttpRequest) -> HttpResponse:
    made = services.make(by=request.user)
    messages.success(request, f"Copied, {shelf.megabytes(made.size)}, and read back. Take it to another disk, too.")
    return redirect("copies")


@require_POST
def elsewhere(request: HttpRequest) -> HttpResponse:
    services.say_elsewhere(by=request.user)
    messages.success(request, "Noted: the newest copy lies on another disk.")
    return redirect("copies")


@require_GET
def download(request: HttpRequest, stamp: str) -> FileResponse:
    """One copy as it lies in the folder. Fetched whole by another device, it lies on another disk from then on."""
    require(request.user, Act.SETUP)
    found = next((each for each in shelf.listed() if each.stamp == stamp), None)
    if found is None:
        raise Http404
    answer = FileResponse(found.file.open("rb"), as_attachment=True, filename=found.file.name)
    # It holds the key: neither the browser nor anybody on the way keeps it besides.
    answer["Cache-Control"] = "private, no-store"
    if _another_device(request):
        shelf.note_away(found.made)
    return answer


def _another_device(request: HttpRequest) -> bool:
    """A browser on this machine saves to this machine's disk; who comes through a proxy on it is not told apart."""
    try:
        return not ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False
