"""From the form to the labels: what is chosen, what may be chosen, the run that is laid, and what it comes to in words."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError

from inventory.base.labels import selectors as sheets
from inventory.errors import Refused
from workshop.documents import labelling
from workshop.documents.kit import cards, page
from workshop.documents.kit.cards import Layout
from workshop.documents.labelling import Laid, Run
from workshop.documents.prints import forms, picture, selectors
from workshop.documents.prints.forms import PrintForm
from workshop.documents.prints.picture import Picture
from workshop.documents.prints.selectors import Thing

A_SECOND = 200  # labels; measured at 270 to 530 on two cores that others used too
SOON = 2  # seconds that nobody needs to be told of


@dataclass(frozen=True)
class Asked:
    """What the page shows: `places` row by row, where a place can be chosen; `laid` where the run can be printed."""

    chosen: list[Thing]
    offered: list[Thing]
    more: bool
    places: list[list[int]] = field(default_factory=list)
    laid: Laid | None = None
    picture: Picture | None = None
    told: str = ""
    seconds: int = 0


def asked(form: PrintForm, kind: str, *, sent: bool) -> Asked:
    """`sent`: the form was sent, so that nothing chosen is a mistake; else it is only a page that begins."""
    of = labelling.KINDS[kind].of
    form.is_valid()
    chosen, lost = _chosen(form, of)
    offered, more = selectors.offered(of, form.cleaned_data.get("words", ""), chosen)
    if lost:
        names = ", ".join(lost[:5])
        form.add_error(
            "also" if form["also"].value() else "name", f"There is no {of} {names}. Search for it, or check it."
        )
    if "all" in form.data:
        chosen, (offered, more) = [*chosen, *offered], ([], more)
    if not chosen and sent and not form.errors:
        form.add_error("name", f"Choose the {of} to print the label of, or several.")
    laid = _laid(form, kind, [thing.name for thing in chosen]) if chosen and not form.errors else None
    layout = laid.layout if laid and laid.layout else _by_name(form.wanted)
    return Asked(
        chosen,
        offered,
        more,
        places=picture.rows(layout) if layout and 1 < len(layout.places) <= picture.MOST_DRAWN else [],
        laid=laid,
        picture=picture.first_page(laid) if laid else None,
        told=told(laid) if laid else "",
        seconds=-(-laid.labels // A_SECOND) if laid and laid.labels > SOON * A_SECOND else 0,
    )


def printed(form: PrintForm, kind: str) -> tuple[bytes, Sequence[str]] | None:
    """The PDF and the names on it; none where the page has something to say first."""
    form.is_valid()
    chosen, lost = _chosen(form, labelling.KINDS[kind].of)
    if not chosen or lost or form.errors:
        return None
    laid = _laid(form, kind, [thing.name for thing in chosen], tried=False)
    try:
        return (laid.print(), laid.run.names) if laid else None
    except Refused:
        return None


def told(laid: Laid) -> str:
    """What a run comes to.

    “21 labels on 2 pages, places 8 to 21 of the first sheet.”
    """
    labels, pages, start = laid.labels, laid.pages, laid.run.start
    if laid.layout is None or len(laid.layout.places) == 1:
        return "1 label, on a page of its own." if labels == 1 else f"{labels} labels, each on a page of its own."
    last = min(start - 1 + labels, len(laid.layout.places))
    where = f"place {start}" if start == last else f"places {start} to {last}"
    counted = f"{_many(labels, 'label')} on {_many(pages, 'page')}"
    after = "" if pages == 1 else " of the first sheet"
    return f"{counted}, {where}{after}{', to be cut apart' if laid.layout.cut else ''}."


def _many(count: int, word: str) -> str:
    return f"1 {word}" if count == 1 else f"{count} {word}s"


def _chosen(form: PrintForm, of: str) -> tuple[list[Thing], list[str]]:
    """What is named by ticks, by name and by the batch, and the names that are of nothing."""
    found = form.cleaned_data
    names = [*found.get("name", []), *found.get("also", [])]
    try:
        if batch := found.get("batch"):
            names += selectors.of_batch(of, batch)
        names = forms.checked(names)
    except (Refused, ValidationError) as fault:
        form.add_error("name", fault.messages if isinstance(fault, ValidationError) else str(fault))
        names = names[: forms.MOST_NAMES]
    return selectors.called(of, names)


def _laid(form: PrintForm, kind: str, names: Sequence[str], *, tried: bool = True) -> Laid | None:
    found = form.cleaned_data
    run = Run(
        kind,
        names,
        copies=found["copies"],
        sheet=form.wanted,
        start=found["start"],
        languages=form.spoken,
        litres=found.get("litres"),
    )
    try:
        laid = labelling.lay(run)
        if tried:
            laid.tried()
    except Refused as refusal:
        form.point(refusal)
        return None
    return laid


def _by_name(sheet: str) -> Layout | None:
    """A sheet whose places are known before its labels are."""
    if not sheet or sheet == forms.OWN or sheet in page.SHEETS:
        return None
    try:
        return cards.on_sheet(sheets.sheet(sheet), sheets.ruler())
    except Refused:
        return None
