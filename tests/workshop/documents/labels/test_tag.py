from __future__ import annotations

import random
from dataclasses import replace

import pytest

from inventory.errors import Refused
from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_MAKER, LONG_NUMBER, UNBROKEN
from tests.workshop.documents.shed_examples import LONG_CUSTOMER, LONG_SPECIES, frame_tag, long_skin_tag, skin_tag
from workshop.documents.kit import page as kit
from workshop.documents.kit.text import TextTooLong
from workshop.documents.labels import tag
from workshop.documents.words.rules import Words

MM = reading.MM
Hole = tuple[float, float]


class UnreadableError(Exception):
    """What a reader of holes says instead of guessing."""


def holes_of(paper: bytes) -> list[Hole]:
    """Centres, in mm from the lower left, of all rings of the size that pliers punch."""
    found = []
    for spot in reading.path_spots(paper):
        wide, high = (spot.right - spot.left) / MM, (spot.top - spot.bottom) / MM
        if 2.5 < wide < 3.6 and abs(wide - high) < 0.05:
            found.append(((spot.left + spot.right) / 2 / MM, (spot.bottom + spot.top) / 2 / MM))
    return found


def decode(holes: list[Hole]) -> str:
    """Read a tag by its holes alone, as a person would who knows the tie hole is to the left and the two distances.

    Shares nothing with the printer: it has its own value of each place and its own check.
    """
    across, down = 4.3, 4.2
    left = min(x for x, _ in holes)
    levels = sorted({round(y, 1) for _, y in holes}, reverse=True)
    if not any(abs(x - left) < 0.5 and abs(y - levels[0]) < 0.5 for x, y in holes):
        levels.reverse()  # the tag lies on its face
    read = ""
    for count, level in enumerate(levels):
        if abs(abs(level - levels[0]) - count * down) > 0.3:
            raise UnreadableError("a row is missing")
        places = sorted(round((x - left) / across) for x, y in holes if abs(y - level) < 0.5)
        if count == 0:
            assert places.pop(0) == 0
        if len(places) % 2 == 0:
            raise UnreadableError("a hole is torn or was forgotten")
        value = sum(2 ** (6 - place) for place in places if place < 7)
        read += chr(ord("0") + value) if value < 10 else chr(ord("A") + value - 10)
    return read


@pytest.mark.parametrize("number", ["H03", "0", "Z99Z", "J01Q", "B-07", "1234", "a1"])
def test_the_holes_alone_say_which_skin_it_is(number: str) -> None:
    paper = tag.render(skin_tag(tag=number))
    assert decode(holes_of(paper)) == number.replace("-", "").upper()


def test_a_tag_read_from_its_back_says_the_same() -> None:
    holes = holes_of(tag.render(skin_tag(tag="H03")))
    assert decode([(x, 48 - y) for x, y in holes]) == "H03"


def test_a_long_number_is_punched_by_its_last_four_signs() -> None:
    assert decode(holes_of(tag.render(long_skin_tag()))) == "3001"


@pytest.mark.parametrize("number", ["H03", "Z99Z", "0000"])
def test_any_one_hole_missing_is_noticed(number: str) -> None:
    holes = sorted(holes_of(tag.render(skin_tag(tag=number))))
    for missing in range(1, len(holes)):  # the first is the one that says which way is up
        left = holes[:missing] + holes[missing + 1 :]
        random.Random(missing).shuffle(left)  # noqa: S311 - the order of reading must not matter
        try:
            read = decode(left)
        except UnreadableError:
            continue
        # The last row had that hole alone and is gone: the reader sees fewer rows than the tag has signs.
        assert read == number[:-1]


def test_a_letter_outside_a_to_z_has_no_holes_but_a_code() -> None:
    paper = tag.render(skin_tag(tag="Ä1"))
    assert holes_of(paper) == []
    assert reading.barcodes(paper) == ["Ä1"]
    assert "Ä1" in reading.words(paper)
    reading.assert_printable(paper, margin_mm=1)


def test_a_tag_says_number_species_owner_date_and_how_to_read_it() -> None:
    said = reading.words(tag.render(skin_tag()))
    for text in ("H03", "Sheep", "Own skin", "In 11 Jan 2025", "Routamo Skins", "top 32 16 8 4 2 1 odd"):
        assert text in said
    assert Words()("tag.key") in said


@pytest.mark.parametrize("number", ["H03", "A-4711", "WXYZ-9999"])
def test_what_is_printed_about_the_holes_is_six_points_tall_or_more(number: str) -> None:
    paper = tag.render(replace(skin_tag(), tag=number))
    sizes = {text: size for text, size in reading.sizes(paper) if text in {"top", "32", "odd"} or "ring" in text}
    assert {"top", "32", "odd"} <= set(sizes)
    assert min(sizes.values()) >= 6, sizes


def test_a_customers_skin_carries_the_customers_name() -> None:
    said = reading.words(tag.render(skin_tag(owner_mark="Mrs Tuohiköngäs")))
    assert "Customer: Mrs Tuohiköngäs" in said
    assert "Own skin" not in said


@pytest.mark.parametrize("number", ["H03", "H1003", "F2"])
def test_the_figures_are_twelve_millimetres_tall(number: str) -> None:
    for paper in (tag.render(skin_tag(tag=number)), tag.render_frames(frame_tag(frame=number))):
        spot = next(spot for text, spot in reading.text_spots(paper) if text.strip() == number)
        assert spot.top - spot.bottom >= 12 * MM


@pytest.mark.parametrize("number", ["H03", "20250001", LONG_NUMBER])
def test_a_tag_is_printable_and_its_bars_read_back(number: str) -> None:
    paper = tag.render(skin_tag(tag=number))
    reading.assert_printable(paper, margin_mm=2)
    assert reading.size_mm(paper) == (90, 48)
    assert reading.barcodes(paper) == [number]


def test_a_tag_with_the_longest_names_stays_in_its_boxes() -> None:
    paper = tag.render(long_skin_tag())
    reading.assert_printable(paper, margin_mm=2)
    said = reading.words(paper).replace(" ", "").replace("-", "")
    for text in (LONG_NUMBER, LONG_CUSTOMER, LONG_SPECIES, LONG_MAKER["maker"]):
        assert text.replace(" ", "").replace("-", "") in said


def test_no_text_lies_on_a_ring() -> None:
    paper = tag.render(long_skin_tag())
    rings = [spot for spot in reading.path_spots(paper) if 2.5 * MM < spot.right - spot.left < 6 * MM]
    rings = [ring for ring in rings if abs((ring.right - ring.left) - (ring.top - ring.bottom)) < 0.2]
    assert len(rings) == 1 + 1 + 6  # tie hole, top, and the holes of 3, 0, 0 and 1
    assert not [text for text, spot in reading.text_spots(paper) for ring in rings if spot.meets(ring)]


def test_a_frame_tag_says_who_is_on_it_and_when_it_is_ready() -> None:
    paper = tag.render_frames(frame_tag())
    said = reading.words(paper)
    for text in ("F2", "Skins H01, H02", "Batch B1", "Up 3 Feb 2025", "Ready about 11 Feb 2025"):
        assert text in said
    assert reading.barcodes(paper) == ["F2"]
    reading.assert_printable(paper, margin_mm=2)


def test_a_frame_without_a_date_is_to_be_looked_at_daily() -> None:
    assert "look daily" in reading.words(tag.render_frames(frame_tag(ready_about=None)))


@pytest.mark.parametrize("number", ["F2", LONG_NUMBER])
def test_a_frames_own_number_reads_back_and_its_words_fit(number: str) -> None:
    paper = tag.render_numbers(tag.FrameLabel(number, "Drying loft", "W" * 24 + " " + "n" * 90, LONG_MAKER["maker"]))
    reading.assert_printable(paper, margin_mm=2)
    assert reading.barcodes(paper) == [number]
    assert "Drying loft" in reading.words(paper)


def test_skins_that_have_no_room_on_the_frame_tag_are_refused_not_cut() -> None:
    with pytest.raises(TextTooLong, match="skins on the frame"):
        tag.render_frames(frame_tag(skins=(UNBROKEN,) * 30))


def test_different_tags_lie_on_one_sheet_in_order() -> None:
    tags = [skin_tag(tag=f"H{index:02}") for index in range(1, 14)]
    sheet = tag.render(tags, sheet=kit.A4)
    first, second = reading.pages(sheet)
    assert all(f"H{index:02}" in first for index in range(1, 13))
    assert "H13" in second


def test_tags_on_a_sheet_keep_clear_of_each_other() -> None:
    reading.assert_printable(tag.render([skin_tag(), long_skin_tag(tag="J01Q")], sheet=kit.A4), margin_mm=4)


def test_each_tag_is_printed_as_often_as_asked() -> None:
    assert [page.split()[0] for page in reading.pages(tag.render([skin_tag(), skin_tag(tag="H04")], copies=2))] == [
        *("H03", "H03"),
        *("H04", "H04"),
    ]
    with pytest.raises(Refused, match="-1 copies"):
        tag.render(skin_tag(), copies=-1)


def test_the_same_tag_gives_the_same_bytes() -> None:
    assert tag.render(skin_tag()) == tag.render(skin_tag())
