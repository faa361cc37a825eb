"""The page that prints labels, and the PDF at its address: one form that both read the same way.

A run is made while the browser waits for the PDF: the longest there may be (3,000 labels, `cards.MOST`) takes seconds and not
minutes, so a queue of jobs would be one more thing to keep running for nothing. A long one says before how long it takes. What
cannot be printed is said by the page, at its field: the page reads every label and draws each once.
"""

import re
from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from inventory.base.labels import selectors as sheets
from inventory.permits import Act, may
from inventory.web.trail import Step, page
from workshop.documents.prints.forms import PrintForm
from workshop.documents.prints.selectors import OF_BATCH, OFFERED, Thing

ABOVE: dict[str, tuple[Step, ...]] = {
    "article": ("articles",),
    "skin": ("skins",),
    "batch": ("batches",),
    "frame": ("batches", "frames"),
    "material": ("shelf",),
    "place": ("shelf", "places"),
}
SENT = "copies"  # a form that was sent has it, a link that only names things has not


@require_safe
def print_labels(request: HttpRequest, kind: str) -> HttpResponse:
    """What to print, on which sheet, where to begin, how many; below it what will be printed."""
    return _page(request, kind, sent=SENT in request.GET)


@require_safe
def labels_pdf(request: HttpRequest, kind: str) -> HttpResponse:
    """The labels; where they cannot be printed the page with the reason. It is no redirect: an address with many names would be
    longer than one may be redirected to."""
    from workshop.documents.prints import run  # brings in the drawing library

    _known(kind)
    content = run.printed(_form(request, kind), kind)
    if content is None:
        return _page(request, kind, sent=True)
    pdf, names = content
    named = names[0] if len(names) == 1 else f"{names[0]}-to-{names[-1]}"
    answer = HttpResponse(pdf, content_type="application/pdf")
    file = re.sub(r"[^A-Za-z0-9]+", "-", f"{kind}-{named}").strip("-")
    answer["Content-Disposition"] = f'inline; filename="{file}.pdf"'
    return answer


def _page(request: HttpRequest, kind: str, *, sent: bool) -> HttpResponse:
    from workshop.documents import labelling  # brings in the drawing library
    from workshop.documents.prints import run

    known = _known(kind)
    form = _form(request, kind)
    asked = run.asked(form, kind, sent=sent)
    return page(
        request,
        "workshop/documents/prints/print.html",
        f"Print {_many(known.title)}",
        ABOVE[known.of],
        kind=kind,
        of=known.of,
        form=form,
        asked=asked,
        shown=OFFERED,
        may_setup=may(request.user, Act.SETUP),
        start=form.cleaned_data.get("start"),
        kinds=[
            (name, one.title, _kept(form, asked.chosen, same=one.of == known.of, of=one.of))
            for name, one in labelling.KINDS.items()
            if name != kind
        ],
    )


def _kept(form: PrintForm, chosen: Sequence[Thing], *, same: bool, of: str) -> str:
    """What another kind of label is asked for at once: the same things, or what is of the same batch."""
    if same:
        return urlencode([("name", thing.name) for thing in chosen])
    batch = form.cleaned_data.get("batch", "")
    return urlencode({"batch": batch}) if batch and of in OF_BATCH else ""


def _many(title: str) -> str:
    """What a page prints several of: care labels, numbers of frames."""
    first, _, rest = title.lower().partition(" of ")
    return f"{first}s of frames" if rest else f"{first}s"


def _form(request: HttpRequest, kind: str) -> PrintForm:
    known = _known(kind)
    return PrintForm(request.GET, languages=known.languages, sheets=sheets.every(), jar=kind == "jar")


def _known(kind: str) -> Any:
    from workshop.documents import labelling  # brings in the drawing library

    if kind not in labelling.KINDS:
        raise Http404(f"There is no label {kind!r}.")
    return labelling.KINDS[kind]
