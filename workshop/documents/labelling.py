"""Every label by its name, and a run of them: read from the records, laid on a sheet, printed.

This brings in the drawing library and every label, so a page or command that may print nothing imports it where it prints.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from typing import Any

from inventory.base import selectors as workshop
from inventory.base.labels import selectors as sheets
from inventory.base.labels.rules import Sheet
from inventory.errors import Refused
from workshop.documents.kit import cards, page
from workshop.documents.kit.cards import Card, Layout, Say
from workshop.documents.labels import (
    bath_label,
    calibration as calibration_page,
    care_card,
    care_label,
    jar_label,
    price_ticket,
    shelf_label,
    tag,
)
from workshop.documents.labels.calibration import Calibration
from workshop.documents.records import articles, shelves, tags, vessels
from workshop.documents.words import selectors as words

OWN = "own"


@dataclass(frozen=True)
class Kind:
    """A kind of label: `read` builds its dataclass (or several) from the records, `card` draws one; `of` is what it names."""

    read: Callable[..., Any]
    card: Callable[[Any], Card]
    title: str
    of: str


KINDS = {
    "care": Kind(articles.care_label, care_label.card, "Care label", "article"),
    "care-card": Kind(articles.care_label, care_card.card, "Care card", "article"),
    "hang-tag": Kind(articles.care_label, care_card.tag_card, "Hang tag", "article"),
    "ticket": Kind(articles.price_ticket, price_ticket.card, "Price ticket", "article"),
    "tag": Kind(tags.skin_tag, tag.card, "Skin tag", "skin"),
    "bath": Kind(vessels.bath_label, bath_label.card, "Bath label", "batch"),
    "jar": Kind(vessels.jar_label, jar_label.card, "Jar label", "material"),
    "frame": Kind(tags.frame_tags, tag.frame_card, "Frame tag", "batch"),
    "number": Kind(tags.frame_label, tag.number_card, "Number of a frame", "frame"),
    "shelf": Kind(shelves.shelf_label, shelf_label.card, "Shelf label", "place"),
}


@dataclass(frozen=True)
class Run:
    """What is asked for: labels of so many `names` in turn, `copies` of each, from place `start` of the sheet.

    `sheet`: empty, a page each of the label's own size; a4, letter or own, laid to cut apart; else a sheet of labels by its
    name or its numbers. `languages`: one or two. `litres`: what a jar holds.
    """

    which: str
    names: Sequence[str]
    copies: int = 1
    sheet: str = ""
    start: int = 1
    languages: Sequence[str] = ()
    litres: Decimal | None = None


@dataclass(frozen=True)
class Laid:
    """A run that is read and measured, ready to be printed; `layout` is none where each label is a page of its own."""

    run: Run
    cards: tuple[Card, ...]
    layout: Layout | None
    pages: int

    @property
    def labels(self) -> int:
        return len(self.cards) * self.run.copies

    def print(self, say: Say | None = None) -> bytes:
        """As PDF. `say` is told after each page how many are done, and of how many."""
        titles = [card.title for card in self.cards]
        title = titles[0] if len(set(titles)) == 1 else f"{titles[0]} to {titles[-1]}"
        return cards.run(
            self.cards,
            copies=self.run.copies,
            layout=self.layout,
            start=self.run.start,
            title=title,
            language=words.of(*self.run.languages[:1]).language,
            say=say,
        )


def lay(run: Run) -> Laid:
    """Read what the labels say and find where each goes; refused in words where one cannot be made."""
    if run.which not in KINDS:
        raise Refused(f"There is no label {run.which!r}; choose one of {', '.join(KINDS)}.", field="paper")
    if run.litres is not None and run.which != "jar":
        raise Refused(
            "Only a jar is asked for its litres; the other labels know theirs. Leave them out.", field="litres"
        )
    if not run.names:
        raise Refused("No label was asked for. Name what each is of.", field="names")
    cards.counted(len(run.names), run.copies)
    made = tuple(card for name in run.names for card in _cards(run, name))
    layout = _layout(run.sheet, made)
    return Laid(run, made, layout, cards.pages(cards.counted(len(made), run.copies), layout, run.start))


def label(which: str, name: str, **options: Any) -> bytes:
    """One label as PDF, of what it names."""
    return lay(Run(which, (name,), **options)).print()


def calibration(sheet: Sheet) -> bytes:
    """The calibration page of a sheet of labels as PDF, in the workshop's language."""
    found = words.of()
    return calibration_page.render(Calibration(sheet, author=workshop.current().name, words=found))


def _cards(run: Run, name: str) -> list[Card]:
    kind = KINDS[run.which]
    found = kind.read(name) if run.litres is None else kind.read(name, run.litres)
    return [kind.card(_worded(one, run.languages)) for one in (found if isinstance(found, tuple) else (found,))]


def _worded(record: Any, languages: Sequence[str]) -> Any:
    """The record in the language asked for, else in the workshop's own; and in the second, where it takes one."""
    said = [words.of(language) for language in languages or ("",)]
    there = {one.name for one in fields(record)}
    asked = dict(zip(("words", "second"), said, strict=False))
    if len(said) > len(asked) or not asked.keys() <= there:
        most = sum(name in there for name in ("words", "second"))
        can = ("has English words only", "is in one language", "is in two languages at most")[most]
        raise Refused(f"This label {can}; {len(said)} were asked for.", field="language")
    return replace(record, **asked)


def _layout(sheet: str, made: Sequence[Card]) -> Layout | None:
    if not sheet:
        return None
    if sheet == OWN or sheet in page.SHEETS:
        return cards.apart_for(page.SHEETS[workshop.current().paper if sheet == OWN else sheet], made)
    return cards.on_sheet(sheets.sheet(sheet))
