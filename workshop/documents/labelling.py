"""Every label by its name, and a run of them: read from the records, laid on a sheet, printed.

This brings in the drawing library and every label, so a page or command that may print nothing imports it where it prints.
"""

from collections.abc import Callable, Iterator, Sequence
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
from workshop.documents.labels.care import CareLabel
from workshop.documents.records import articles, shelves, tags, vessels
from workshop.documents.words import selectors as words
from workshop.documents.words.rules import Words

OWN = "own"


@dataclass(frozen=True)
class Kind:
    """A kind of label: `read` builds from the records a dataclass (or several) for each name, `card` draws one; `of` is what it
    names, `record` the dataclass."""

    read: Callable[..., Sequence[Any]]
    card: Callable[[Any], Card]
    title: str
    of: str
    record: type

    @property
    def languages(self) -> int:
        """How many it can be printed in at once; none, if it has English words only."""
        there = {one.name for one in fields(self.record)}
        return sum(name in there for name in _SPOKEN)


_SPOKEN = ("words", "second")


def _each(read: Callable[[str], Any]) -> Callable[[Sequence[str]], list[Any]]:
    """One after another: of a batch so much is read that several at once would gain little."""
    return lambda names: [read(name) for name in names]


KINDS = {
    "care": Kind(articles.care_labels, care_label.card, "Care label", "article", CareLabel),
    "care-card": Kind(articles.care_labels, care_card.card, "Care card", "article", CareLabel),
    "hang-tag": Kind(articles.care_labels, care_card.tag_card, "Hang tag", "article", CareLabel),
    "ticket": Kind(articles.price_tickets, price_ticket.card, "Price ticket", "article", price_ticket.PriceTicket),
    "tag": Kind(tags.skin_tags, tag.card, "Skin tag", "skin", tag.SkinTag),
    "bath": Kind(_each(vessels.bath_label), bath_label.card, "Bath label", "batch", bath_label.BathLabel),
    "jar": Kind(vessels.jar_labels, jar_label.card, "Jar label", "material", jar_label.JarLabel),
    "frame": Kind(_each(tags.frame_tags), tag.frame_card, "Frame tag", "batch", tag.FrameTag),
    "number": Kind(tags.frame_labels, tag.number_card, "Number of a frame", "frame", tag.FrameLabel),
    "shelf": Kind(shelves.shelf_labels, shelf_label.card, "Shelf label", "place", shelf_label.ShelfLabel),
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
    """A run that is read and measured, ready to be printed; `layout` is none where each label is a page of its own. `named`: the
    name that each card is of."""

    run: Run
    cards: tuple[Card, ...]
    named: tuple[str, ...]
    layout: Layout | None
    pages: int

    @property
    def labels(self) -> int:
        return len(self.cards) * self.run.copies

    def tried(self) -> None:
        """Refused in words where a label has no room in its place: each is drawn once, and thrown away."""
        if self.layout and not self.layout.cut:
            cards.run(self.cards, layout=self.layout)

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
    named, made = zip(*_cards(run), strict=True)
    layout = _layout(run.sheet, made)
    return Laid(run, made, named, layout, cards.pages(cards.counted(len(made), run.copies), layout, run.start))


def label(which: str, name: str, **options: Any) -> bytes:
    """One label as PDF, of what it names."""
    return lay(Run(which, (name,), **options)).print()


def calibration(sheet: Sheet) -> bytes:
    """The calibration page of a sheet of labels as PDF, in the workshop's language."""
    found = words.of()
    return calibration_page.render(Calibration(sheet, workshop.current().name, found, sheets.ruler()))


def _cards(run: Run) -> Iterator[tuple[str, Card]]:
    kind = KINDS[run.which]
    said = _worded(kind, run.languages)
    found = kind.read(run.names) if run.litres is None else kind.read(run.names, run.litres)
    for name, made in zip(run.names, found, strict=True):
        for one in made if isinstance(made, tuple) else (made,):
            yield name, kind.card(replace(one, **said))


def _worded(kind: Kind, languages: Sequence[str]) -> dict[str, Words]:
    """What a label says in the language asked for, else in the workshop's own; and in the second, where it takes one."""
    if twice := next((language for language in languages if list(languages).count(language) > 1), ""):
        raise Refused(f"{twice} is asked for twice. Ask for one language, or for two.", field="language")
    if len(languages) > kind.languages:
        can = ("has English words only", "is in one language", "is in two languages at most")[kind.languages]
        raise Refused(f"This label {can}; {len(languages)} were asked for.", field="language")
    said = (words.of(language) for language in languages or ("",))
    return dict(zip(_SPOKEN[: kind.languages], said, strict=False))


def _layout(sheet: str, made: Sequence[Card]) -> Layout | None:
    if not sheet:
        return None
    if sheet == OWN or sheet in page.SHEETS:
        return cards.apart_for(page.SHEETS[workshop.current().paper if sheet == OWN else sheet], made)
    return cards.on_sheet(sheets.sheet(sheet), sheets.ruler())
