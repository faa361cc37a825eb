"""Every label with the longest names: its code is read from a poor picture, nothing leaves its place, no letter is too small."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.base.labels import rules
from inventory.errors import Refused
from tests.workshop.documents import reading
from tests.workshop.documents.longest import NAMES, SHEETS, alone, labels, longest, meant, spot
from tests.workshop.documents.reading import Spot
from workshop.documents.kit import cards, codes
from workshop.documents.kit.page import Box
from workshop.documents.kit.text import LEAST
from workshop.documents.labelling import KINDS
from workshop.documents.words.rules import Words

DOTS = (150, 203, 300)

# The smallest of the common sheets and rolls that has room for the longest names; none where only a label's own size has.
SMALLEST = {
    "care": "3 × 7 on A4",
    "care-card": "2 × 4 on A4",
    "hang-tag": "2 × 4 on A4",
    "ticket": "3 × 8 on A4",
    "tag": "3 × 10 on Letter",
    "frame": "3 × 10 on Letter",
    "number": "3 × 10 on Letter",
    "bath": "",
    "jar": "2 × 4 on A4",
    "shelf": "3 × 8 on A4",
}


def assert_in_its_place(paper: bytes, place: Box) -> None:
    """No ink outside the label, no text over text, no letter too small, and its code white all round as its rule asks."""
    edge = spot(place)
    texts, paths, (code,) = reading.text_spots(paper), reading.path_spots(paper), reading.code_spots(paper)
    assert not [where for where in [*paths, *(where for _, where in texts)] if not where.within(edge)]
    left, top, right, bottom = reading.ink_box(paper)
    tall = reading.page_spot(paper).top
    assert Spot(left, tall - bottom, right, tall - top).within(edge)
    assert not [
        (one, two)
        for at, (one, spot_of) in enumerate(texts)
        for two, other in texts[at + 1 :]
        if spot_of.meets(other, 0.5)
    ]
    assert not [text for text, _ in texts if "…" in text], "nothing is cut"
    assert min(size for text, size in reading.sizes(paper) if text) >= LEAST - 0.001
    bars = code.right - code.left > 1.5 * (code.top - code.bottom)
    across, up = (codes.QUIET, 0.0) if bars else (codes.GAP, codes.GAP)
    assert reading.white_around(paper, code, across, up)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("kind", KINDS)
def test_the_code_of_the_longest_label_is_read_from_poor_pictures(kind: str) -> None:
    label = longest(NAMES["words"])[kind]
    paper, place = alone(kind, label)
    assert_in_its_place(paper, place)
    for dots in DOTS:
        assert reading.hard_to_read(paper, dots) == [meant(label)], dots


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("kind", [kind for kind in KINDS if SMALLEST[kind]])
def test_the_code_of_the_smallest_label_is_read_from_poor_pictures(kind: str) -> None:
    label = labels(NAMES["words"])[kind]
    paper, place = alone(kind, label, SMALLEST[kind])
    assert_in_its_place(paper, place)
    for dots in DOTS:
        assert reading.hard_to_read(paper, dots, place=spot(place)) == [meant(label)], dots


def test_started_at_8_a_21_up_sheet_stays_white_in_1_to_7() -> None:
    """Every kind that goes on such a sheet, three of each."""
    layout = cards.on_sheet(rules.equal(3, 7, "a4"))
    for kind in ("care", "ticket", "tag", "frame", "number", "shelf"):
        card = KINDS[kind].card(labels(NAMES["words"])[kind])
        paper = cards.run([card], copies=3, layout=layout, start=8)
        ink = [reading.inked(paper, spot(place)) for place in layout.places]
        assert ink == [False] * 7 + [True] * 3 + [False] * 11, kind


@pytest.mark.parametrize("kind", ["tag", "shelf"])
def test_no_letter_is_too_small_where_a_label_says_a_part_in_smaller_type(kind: str) -> None:
    label = {"tag": longest(NAMES["words"])["tag"], "shelf": labels(NAMES["right to left"])["shelf"]}[kind]
    paper, place = alone(kind, label, {"tag": "", "shelf": "3 × 10 on Letter"}[kind])
    assert_in_its_place(paper, place)


def test_what_has_no_room_is_refused_in_words_with_the_size_of_the_label() -> None:
    with pytest.raises(
        Refused, match=r"does not fit on a label of 66\.675 × 25\.4 mm: there is no room for the .* at a size"
    ) as no:
        alone("care", longest(NAMES["words"])["care"], "3 × 10 on Letter")
    assert no.value.field == "sheet"


def on_every_sheet(kind: str, label: Any) -> set[str]:
    """The sheets that the label goes on, each read and looked at; those that refuse it do so in words."""
    there = set()
    for sheet in ("", *SHEETS):
        try:
            paper, place = alone(kind, label, sheet)
        except Refused as refusal:
            if sheet and "does not fit on a label of" in str(refusal):
                continue
            raise
        assert_in_its_place(paper, place)
        assert reading.hard_to_read(paper, 150, place=spot(place)) == [meant(label)], sheet
        there.add(sheet)
    return there


@pytest.mark.thorough
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", KINDS)
def test_the_longest_names_on_every_sheet(kind: str, name: str) -> None:
    assert SMALLEST[kind] in on_every_sheet(kind, labels(NAMES[name])[kind])
    on_every_sheet(kind, longest(NAMES[name])[kind])


@pytest.mark.thorough
@pytest.mark.parametrize("kind", ["care", "care-card", "hang-tag"])
def test_two_languages_with_the_longest_names_on_every_sheet(kind: str) -> None:
    assert "" in on_every_sheet(kind, longest(NAMES["words"], Words("de"))[kind])
    assert "2 × 4 on A4" in on_every_sheet(kind, labels(NAMES["words"], second=Words("fi"))[kind])


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("kind", KINDS)
def test_an_odd_name_is_printed_whole_or_refused_in_words(kind: str) -> None:
    """Both directions in one name, and signs that cannot be seen, are printed; a picture is refused by name."""
    for name in ("Lammas דוד 12 m² محمد (suuri)", "Lammas\0talja\nvalkoinen\x1b\u202e"):
        label = labels(name, "H03")[kind]
        paper, place = alone(kind, label)
        assert_in_its_place(paper, place)
        assert reading.barcodes(paper) == [meant(label)]
    with pytest.raises(Refused, match="😀"):
        alone(kind, labels("Lammas 😀", "H03" if kind != "frame" else "😀")[kind])


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"frame"}))
def test_a_name_of_300_letters_stays_in_its_place_or_is_refused_by_what_it_is(kind: str) -> None:
    for name in ("Lammas " * 43, "Nahka" * 60):
        try:
            paper, place = alone(kind, labels(name)[kind])
        except Refused as refusal:
            if "does not fit" in str(refusal):
                continue
            raise
        assert_in_its_place(paper, place)
