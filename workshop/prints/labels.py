"""One way to every label by the name of its paper, for the command and for the pages."""

from __future__ import annotations

from decimal import Decimal

from inventory.errors import Refused
from workshop.prints import articles, shelves, tags, vessels
from workshop.prints.sizes import sheet_of

LABELS = (*articles.PAPERS, "tag", "bath", "jar", "frame", "shelf")


def label(which: str, name: str, *, copies: int = 1, sheet: str = "", litres: Decimal | None = None) -> bytes:
    """A label as PDF. `name`: an article, a skin, a batch, a material or a place, as the paper wants it.

    `sheet`: laid on that paper to cut apart, else each copy a page of its own size. `litres`: what a jar holds.
    """
    if litres is not None and which != "jar":
        raise Refused(
            "Only a jar is asked for its litres; the other labels know theirs. Leave them out.", field="litres"
        )
    laid = sheet_of(sheet)
    if which in articles.PAPERS:
        return articles.article_paper(which, name, copies=copies, sheet=laid)
    if which == "tag":
        from workshop.papers import tag

        return tag.render(tags.skin_tag(name), copies, laid)
    if which == "frame":
        from workshop.papers import tag

        return tag.render_frames(tags.frame_tag(name), copies, laid)
    if which == "bath":
        from workshop.papers import bath_label

        return bath_label.render(vessels.bath_label(name), copies, laid)
    if which == "jar":
        from workshop.papers import jar_label

        made = vessels.jar_label(name) if litres is None else vessels.jar_label(name, litres)
        return jar_label.render(made, copies, laid)
    if which == "shelf":
        from workshop.papers import shelf_label

        return shelf_label.render(shelves.shelf_label(name), copies, laid)
    raise Refused(f"There is no label {which!r}; choose one of {', '.join(LABELS)}.", field="paper")
