"""Lines in any script: joined as HarfBuzz joins them, as wide as they are drawn, inside their room, and refused by name."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import uharfbuzz
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.t2CharStringPen import T2CharStringPen
from hypothesis import given, strategies as st
from reportlab.pdfbase import pdfmetrics

from tests.workshop.documents import reading
from tests.workshop.documents.names import FURTHER, NAMES, forget, take_away
from workshop.documents.kit import page, stack, text
from workshop.documents.kit.stack import Para
from workshop.documents.kit.text import fit, tidy, wrap
from workshop.documents.type import cuts, faces, fonts, runs

RARE = "\U00020000"  # a Chinese letter that the packaged face lacks


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> Any:
    take_away(monkeypatch)
    yield
    monkeypatch.undo()
    forget()


def parts(name: str) -> list[tuple[int, int, int]]:
    """The glyphs of a line from left to right, each with its place in thousandths, as our composed glyphs have them."""
    placed, pen = [], 0
    for run in runs.lay(name, fonts.REGULAR).runs:
        font = pdfmetrics.getFont(run.cut.name)
        made = {sign: (glyphs, advance) for (glyphs, advance, _), sign in font.codes.items()}
        for sign in run.signs:
            glyphs, advance = made[sign]
            placed += [(glyph, pen + right, up) for glyph, right, up in glyphs]
            pen += advance
    return placed


@pytest.mark.parametrize("script", ["Hebrew", "Arabic", "Devanagari"])
def test_letters_join_and_stack_as_harfbuzz_has_them_for_the_whole_line(script: str) -> None:
    name = NAMES[script]
    (cut,) = {run.cut.name for run in runs.lay(name, fonts.REGULAR).runs}
    buffer = uharfbuzz.Buffer()
    buffer.add_str(name)
    buffer.guess_segment_properties()
    uharfbuzz.shape(uharfbuzz.Font(uharfbuzz.Face(pdfmetrics.getFont(cut).file)), buffer)
    expected, pen = [], 0
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        expected.append((info.codepoint, pen + place.x_offset, place.y_offset))
        pen += place.x_advance
    assert parts(name) == expected
    assert fonts.width(name, fonts.REGULAR, 1000) == pytest.approx(pen)


def test_joined_letters_are_others_than_the_same_ones_apart() -> None:
    joined = {glyph for glyph, *_ in parts("محمد")}
    apart = {glyph for letter in "محمد" for glyph, *_ in parts(letter)}
    assert joined - apart


@pytest.mark.parametrize("script", FURTHER)
@pytest.mark.parametrize("font", [fonts.REGULAR, fonts.BOLD])
def test_a_line_is_as_wide_and_as_tall_as_its_ink(script: str, font: str) -> None:
    """Measured on the picture at 100 dots to a letter: no ink outside the room that fitting gives it, and plenty inside."""
    size, across = 72.0, fonts.width(NAMES[script], font, 72)
    on = page.canvas(buffer := BytesIO(), page.Paper(400, 60), "ink", "")
    box = page.Box(40, 40, across, size * text.LEADING)
    page.put(on, box, text.Block((NAMES[script],), font, size))
    on.showPage()
    on.save()
    left, top, right, bottom = reading.ink_box(buffer.getvalue())
    height = 60 * page.mm
    assert box.x - 8 < left < box.x + across * 0.15
    assert box.right - across * 0.15 < right < box.right + 8
    assert height - box.top - 3 <= top
    assert bottom <= height - box.y + 3
    assert reading.ink(buffer.getvalue()) > across * size * 0.03


def test_deep_letters_are_lifted_and_stacked_ones_made_smaller() -> None:
    assert runs.lay("جح", fonts.REGULAR).lift > 0
    assert runs.lay("لِلّٰهِ", fonts.REGULAR).scale < 1
    assert (runs.lay("דוד", fonts.REGULAR).scale, runs.lay("דוד", fonts.REGULAR).lift) == (1, 0)


def test_bold_is_bold_where_the_face_has_none() -> None:
    assert not runs.lay("דוד", fonts.BOLD).runs[0].cut.thickened
    assert runs.lay("王", fonts.BOLD).runs[0].cut.thickened
    assert not runs.lay("王", fonts.REGULAR).runs[0].cut.thickened


def test_signs_without_ink_are_not_printed_and_cost_no_width() -> None:
    plain = fonts.width("דוד", fonts.REGULAR, 10)
    for unseen in ("\u200f", "\ufe0f", "\u200b", "\u202e", "\u2066", "\ufeff", "\U000e0100"):
        assert fonts.width(f"ד{unseen}וד", fonts.REGULAR, 10) == pytest.approx(plain), hex(ord(unseen))


def test_a_mark_that_turns_text_by_force_does_not() -> None:
    """“\u202e001” would read 100."""
    (run,) = runs.lay("INV \u202e001\u202c", fonts.REGULAR).runs
    assert run.signs == "INV 001"


def test_a_paragraph_keeps_its_side_on_each_of_its_lines() -> None:
    lines = wrap("לכבוד Alexandra Constantinopolitanska ירושלים", fonts.REGULAR, 10, 120)
    assert len(lines) > 2
    assert all(map(fonts.turned, lines))
    mixed = wrap("Rechnung an דוד בן־שושן und weiter", fonts.REGULAR, 10, 60)
    assert len(mixed) > 2
    assert not any(map(fonts.turned, mixed))


def test_lines_that_run_to_the_left_start_at_the_right_of_their_box_and_a_line_alone_with_its_neighbours() -> None:
    several = "לכבוד Alexandra Constantinopolitanska Weatherington ירושלים"
    for name, side in ((several, "right"), (NAMES["Hebrew"], "left"), ("Rechnung דוד", "left")):
        on = page.canvas(buffer := BytesIO(), page.A6, "side", "")
        page.text(on, page.Box(40, 300, 200, 40), name, size=10, smallest=10)
        on.showPage()
        on.save()
        left, _, right, _ = reading.ink_box(buffer.getvalue())
        assert (abs(left - 40) < 2) == (side == "left")
        assert (abs(right - 240) < 2) == (side == "right")


def test_a_stacked_line_that_runs_to_the_left_has_its_dot_right_and_its_figure_left() -> None:
    on = page.canvas(buffer := BytesIO(), page.A6, "stack", "")
    stack.put(
        on, page.Box(40, 300, 200, 40), [Para("דוד", bullet=True, right="12.5")], size=10, smallest=8, whole="card"
    )
    on.showPage()
    on.save()
    spots = [spot for _, spot in reading.text_spots(buffer.getvalue())]
    assert min(spot.left for spot in spots) == pytest.approx(40, abs=2)
    assert max(spot.right for spot in spots) == pytest.approx(230, abs=2)
    (dot,) = reading.path_spots(buffer.getvalue())
    assert 230 < dot.left < dot.right < 240


def test_chinese_wraps_between_letters_without_hyphens_and_no_line_begins_with_a_stop() -> None:
    words = "王小明皮革工坊，北京市朝阳区。" * 4
    lines = wrap(words, fonts.REGULAR, 10, 61)
    assert "".join(lines) == words
    assert not [line for line in lines if line[0] in "，。"]
    assert all(fonts.width(line, fonts.REGULAR, 10) <= 61 for line in lines)


def test_a_word_of_another_script_is_broken_between_its_clusters_and_without_a_hyphen() -> None:
    name = "क्षत्रियलक्ष्मीकिर्ति" * 3
    lines = wrap(name, fonts.REGULAR, 12, 40)
    assert "".join(lines) == name
    assert len(lines) > 3
    assert not [
        line for line in lines if line[0] in "\u094d\u093f\u0940\u0930\u093e" and line != lines[0] and line[0] != "र"
    ]
    assert not [line for line in lines if line.endswith("\u094d")]


@given(
    name=st.text(st.sampled_from("דוד (בן) 12-שושן محمدجِ लक्ष्मी王小。（）김 Abc\u200dÅ"), max_size=60),
    width=st.floats(30, 200),
    height=st.floats(10, 60),
)
def test_any_mixture_stays_inside_its_box(name: str, width: float, height: float) -> None:
    block = fit(name, width=width, height=height, size=12, smallest=6)
    assert block.height <= height + 0.01
    assert all(fonts.width(line, block.font, block.size) <= width for line in block.lines)


@pytest.mark.parametrize("script", ["Hebrew", "Arabic", "Devanagari", "Chinese", "Korean"])
def test_three_hundred_letters_are_cut_with_an_ellipsis_or_refused(script: str) -> None:
    name = (NAMES[script] * 60)[:300]
    block = fit(name, width=150, height=30, size=12, smallest=8)
    assert block.lines[-1].endswith("…")
    assert all(fonts.width(line, block.font, block.size) <= 150 for line in block.lines)
    with pytest.raises(text.TextTooLong, match=r"The customer name “"):
        fit(name, width=150, height=30, size=12, smallest=8, whole="customer name")


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("Farm 🐑", "the picture “🐑” (U+1F411, sheep), which is not printed. Take it out, or say it in words."),
        ("👩\u200d🌾 Ann", "the picture “👩” (U+1F469, woman), which is not printed."),
        ("Ann\ue000", "the sign U+E000, which is no letter of any script. Take it out."),
    ],
)
def test_pictures_and_private_signs_are_refused_by_name(written: str, said: str) -> None:
    with pytest.raises(runs.NoType) as refused:
        tidy(written)
    assert str(refused.value).startswith(f"“{written}” has {said}")


@pytest.mark.usefixtures("bare")
def test_what_no_face_has_is_refused_by_name_with_what_to_install() -> None:
    with pytest.raises(runs.NoType) as refused:
        fit("𐎠bc", width=100, height=20, size=9, smallest=6, whole="customer name")
    assert str(refused.value) == (
        "The customer name “𐎠bc” has the letter “𐎠” (U+103A0, Old Persian) that no installed type has."
        " Install the further types: .venv/bin/pip install -e '.[scripts]'"
    )
    assert refused.value.field == "customer_name"
    with pytest.raises(
        runs.NoType, match=r"Install a typeface with it on this computer, or write it in other letters\.$"
    ):
        tidy("Հայկ")


@pytest.mark.usefixtures("bare")
@pytest.mark.parametrize("script", FURTHER)
def test_without_the_further_types_each_script_names_the_command_that_installs_them(script: str) -> None:
    with pytest.raises(runs.NoType, match=r"\.venv/bin/pip install -e '\.\[scripts\]'$"):
        tidy(NAMES[script])


@pytest.mark.usefixtures("bare")
@pytest.mark.parametrize("script", sorted({*NAMES} - {*FURTHER}))
def test_the_alphabets_of_europe_need_nothing_further(script: str) -> None:
    assert tidy(NAMES[script]) == NAMES[script]
    assert fonts.plain(NAMES[script])


@pytest.mark.parametrize("missing", ["uharfbuzz", "bidi"])
def test_a_face_alone_prints_no_letters_that_must_be_joined_or_turned(
    monkeypatch: pytest.MonkeyPatch, missing: str
) -> None:
    """They would print as wrong letters, which is worse than none."""
    take_away(monkeypatch, missing)
    with pytest.raises(runs.NoType, match="pip install"):
        tidy(NAMES["Hebrew"])
    assert tidy(NAMES["Chinese"]) == NAMES["Chinese"]
    monkeypatch.undo()
    forget()


def test_a_typeface_of_the_system_is_used_whatever_its_outlines(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A face with the other kind of outlines (CFF), found in a folder of the system beside a damaged file."""
    take_away(monkeypatch)
    folder = tmp_path / "type"
    folder.mkdir()
    (folder / "damaged.ttf").write_bytes(b"\x00\x01\x00\x00no font")
    _square(folder / "rare.otf", ord(RARE))
    monkeypatch.setattr(faces, "folders", lambda: [folder])
    monkeypatch.setenv("TAWERY_DATA", str(tmp_path))
    forget()
    on = page.canvas(buffer := BytesIO(), page.A6, "rare", "")
    page.text(on, page.Box(40, 300, 200, 20), f"Ann {RARE}", size=10, smallest=10)
    on.showPage()
    on.save()
    assert reading.words(buffer.getvalue()) == f"Ann {RARE}"
    assert fonts.width(RARE, fonts.REGULAR, 10) == pytest.approx(10)
    assert [path.name for path in cuts.folder().glob("TawerySans-Square*.ttf")]
    with pytest.raises(runs.NoType):
        tidy("דוד")
    monkeypatch.undo()
    forget()


def _square(path: Path, letter: int) -> None:
    pen = T2CharStringPen(500, None)
    pen.moveTo((0, 0))
    pen.curveTo((0, 100), (0, 300), (0, 400))
    pen.lineTo((400, 400))
    pen.lineTo((400, 0))
    pen.closePath()
    font = FontBuilder(500, isTTF=False)
    font.setupGlyphOrder([".notdef", "square"])
    font.setupCharacterMap({letter: "square"})
    drawn = pen.getCharString()
    font.setupCFF("Square", {}, {".notdef": T2CharStringPen(500, None).getCharString(), "square": drawn}, {})
    font.setupHorizontalMetrics({".notdef": (500, 0), "square": (500, 0)})
    font.setupHorizontalHeader(ascent=400, descent=-100)
    font.setupNameTable({"familyName": "Square", "styleName": "Regular", "psName": "Square"})
    font.setupOS2(fsType=0)
    font.setupPost()
    font.save(path)
