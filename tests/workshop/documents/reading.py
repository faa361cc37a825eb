"""Reads a printed paper back with other programs than the one that wrote it."""

from __future__ import annotations

import ctypes
import re
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from typing import Any

import pypdf
import pypdfium2
import pypdfium2.raw as pdfium
import zxingcpp
from PIL import ImageFilter
from PIL.Image import Resampling

COLOURS = {b"rg", b"RG", b"g", b"G", b"k", b"K", b"sc", b"SC", b"scn", b"SCN", b"cs", b"CS"}
MM = 72 / 25.4


@dataclass(frozen=True)
class Spot:
    left: float
    bottom: float
    right: float
    top: float

    def meets(self, other: Spot, slack: float = 0.0) -> bool:
        across = min(self.right, other.right) - max(self.left, other.left)
        up = min(self.top, other.top) - max(self.bottom, other.bottom)
        return across > slack and up > slack

    def within(self, other: Spot) -> bool:
        return (
            self.left >= other.left
            and self.bottom >= other.bottom
            and self.right <= other.right
            and self.top <= other.top
        )


def words(paper: bytes) -> str:
    """All text, pages one after the other, with every run of white space one space."""
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(paper)).pages).split())


def pages(paper: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(paper)).pages]


def language(paper: bytes) -> str:
    """The language that the paper says it is in."""
    return str(pypdf.PdfReader(BytesIO(paper)).root_object["/Lang"])


def words_by_pdfium(paper: bytes) -> str:
    """The same by another reader, the one inside a well known browser."""
    with pypdfium2.PdfDocument(paper) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


def ink_box(paper: bytes, page: int = 0) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of all ink of a page, in points from its upper left corner."""
    left, top, right, bottom = picture(paper, 144, page).point(lambda light: 255 * (light < 160)).getbbox()
    return left / 2, top / 2, right / 2, bottom / 2


def inked(paper: bytes, place: Spot, page: int = 0) -> bool:
    """Whether anything at all is printed in a place."""
    return bool(picture(paper, 144, page, place).getextrema()[0] < 255)


def ink(paper: bytes, page: int = 0) -> float:
    """How much of a page is black, in square points."""
    with pypdfium2.PdfDocument(paper) as document:
        lights = document[page].render(scale=2, grayscale=True).to_pil().histogram()
    return sum(count * (255 - light) / 255 for light, count in enumerate(lights)) / 4


def size_mm(paper: bytes) -> tuple[float, float]:
    box = pypdf.PdfReader(BytesIO(paper)).pages[0].mediabox
    return round(float(box.width) / MM, 1), round(float(box.height) / MM, 1)


def text_spots(paper: bytes, page: int = 0) -> list[tuple[str, Spot]]:
    """Each piece of text with the place its ink takes."""
    with pypdfium2.PdfDocument(paper) as document:
        textpage = document[page].get_textpage()
        spots = [Spot(*textpage.get_rect(index)) for index in range(textpage.count_rects())]
        return [(textpage.get_text_bounded(s.left, s.bottom, s.right, s.top), s) for s in spots]


def sizes(paper: bytes, page: int = 0) -> list[tuple[str, float]]:
    """Each line of text with the size of its type in points."""
    with pypdfium2.PdfDocument(paper) as document:
        found, leaf = [], document[page]
        textpage = leaf.get_textpage()
        for thing in leaf.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
            size = ctypes.c_float()
            pdfium.FPDFTextObj_GetFontSize(thing.raw, size)
            found.append((_text(thing, textpage), size.value))
        return found


def path_spots(paper: bytes, page: int = 0) -> list[Spot]:
    """The place of each line, ring and bar."""
    with pypdfium2.PdfDocument(paper) as document:
        kind = pypdfium2.raw.FPDF_PAGEOBJ_PATH
        return [Spot(*thing.get_bounds()) for thing in document[page].get_objects(filter=[kind])]


def page_spot(paper: bytes, margin_mm: float = 0, page: int = 0) -> Spot:
    with pypdfium2.PdfDocument(paper) as document:
        width, height = document[page].get_size()
    edge = margin_mm * MM
    return Spot(edge, edge, width - edge, height - edge)


def barcodes(paper: bytes, page: int = 0) -> list[str]:
    """What the codes on a page say, read from its picture at 300 dots an inch."""
    return [code.text for code in zxingcpp.read_barcodes(picture(paper, 300, page))]


def picture(paper: bytes, dots: int, page: int = 0, place: Spot | None = None) -> Any:
    """A page, or a place of it, as a grey picture of so many dots an inch."""
    with pypdfium2.PdfDocument(paper) as document:
        width, height = document[page].get_size()
        off = (place.left, place.bottom, width - place.right, height - place.top) if place else (0, 0, 0, 0)
        return document[page].render(scale=dots / 72, crop=off, grayscale=True).to_pil()


def hard_to_read(paper: bytes, dots: int, page: int = 0, place: Spot | None = None) -> list[str]:
    """What the codes say from a picture that is turned by 3 degrees and blurred by a dot, as a phone holds it."""
    turned = picture(paper, dots, page, place).rotate(3, expand=True, fillcolor=255, resample=Resampling.BICUBIC)
    return [code.text for code in zxingcpp.read_barcodes(turned.filter(ImageFilter.GaussianBlur(1)))]


def white_around(paper: bytes, code: Spot, across: float, up: float, page: int = 0) -> bool:
    """Whether a code stands in white, so many points at its sides and so many above and below, to two dots of the picture."""
    zone = Spot(code.left - across, code.bottom - up, code.right + across, code.top + up)
    seen = picture(paper, 300, page, zone)
    wide, tall = round(across / 72 * 300) - 2, round(up / 72 * 300) - 2
    seen.paste(255, (max(wide, 0), max(tall, 0), seen.width - max(wide, 0), seen.height - max(tall, 0)))
    return bool(seen.crop((2, 2, seen.width - 2, seen.height - 2)).getextrema()[0] > 200)


def code_spots(paper: bytes, page: int = 0) -> list[Spot]:
    """The place of each shape that is filled and larger than a dot: the codes."""
    with pypdfium2.PdfDocument(paper) as document:
        found = []
        for thing in document[page].get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH]):
            fill, stroke = ctypes.c_int(), ctypes.c_int()
            pypdfium2.raw.FPDFPath_GetDrawMode(thing.raw, fill, stroke)
            spot = Spot(*thing.get_bounds())
            if fill.value and not stroke.value and spot.right - spot.left > 4 * MM:
                found.append(spot)
        return found


def colours(paper: bytes) -> list[tuple[bytes, list[Any]]]:
    """Every operator that sets a colour, with its operands."""
    reader = pypdf.PdfReader(BytesIO(paper))
    found = []
    for page in reader.pages:
        content = page.get_contents()
        assert content is not None
        found += [
            (op, operands) for operands, op in pypdf.generic.ContentStream(content, reader).operations if op in COLOURS
        ]
    return found


def pictures(paper: bytes) -> list[str]:
    """Names of the pictures (or other set-in objects) on the pages."""
    return [name for page in pypdf.PdfReader(BytesIO(paper)).pages for name in page["/Resources"].get("/XObject", {})]


def fonts(paper: bytes) -> list[Any]:
    reader = pypdf.PdfReader(BytesIO(paper))
    return [font.get_object() for page in reader.pages for font in page["/Resources"]["/Font"].values()]


def told(paper: bytes) -> list[tuple[str, str]]:
    """What a screen reader finds, page by page: each leaf and each kind of place, with its words or what it says it shows."""
    found: list[tuple[str, str]] = []
    with pypdfium2.PdfDocument(paper) as document:
        for page in document:
            tree = pdfium.FPDF_StructTree_GetForPage(page.raw)
            words = _marked(page)
            for at in range(pdfium.FPDF_StructTree_CountChildren(tree)):
                found += _branch(pdfium.FPDF_StructTree_GetChildAtIndex(tree, at), words)
            pdfium.FPDF_StructTree_Close(tree)
    return found


def _marked(page: Any) -> dict[int, str]:
    """The words drawn for each number of a leaf."""
    words: dict[int, str] = {}
    textpage = page.get_textpage()
    for thing in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
        number = pdfium.FPDFPageObj_GetMarkedContentID(thing.raw)
        text = _text(thing, textpage)
        words[number] = f"{words[number]} {text}" if number in words else text
    return words


def _text(thing: Any, textpage: Any) -> str:
    size = pdfium.FPDFTextObj_GetText(thing.raw, textpage.raw, None, 0)
    buffer = (ctypes.c_ushort * (size // 2))()
    pdfium.FPDFTextObj_GetText(thing.raw, textpage.raw, buffer, size)
    return bytes(buffer).decode("utf-16-le").strip("\0\r\n ")


def _branch(element: Any, words: dict[int, str]) -> list[tuple[str, str]]:
    size = pdfium.FPDF_StructElement_GetAltText(element, None, 0)
    alt = ctypes.create_string_buffer(max(size, 2))
    pdfium.FPDF_StructElement_GetAltText(element, alt, size)
    kind = ctypes.create_string_buffer(100)
    length = pdfium.FPDF_StructElement_GetType(element, kind, 100)
    role = kind.raw[: length - 2].decode("utf-16-le")
    kids = range(pdfium.FPDF_StructElement_CountChildren(element))
    numbers = [pdfium.FPDF_StructElement_GetChildMarkedContentID(element, at) for at in kids]
    said = alt.raw[: max(size - 2, 0)].decode("utf-16-le") or " ".join(words.get(n, "") for n in numbers if n >= 0)
    found = [(role, said)]
    for at in kids:
        child = pdfium.FPDF_StructElement_GetChildAtIndex(element, at)
        if child:
            found += _branch(child, words)
    return found


def assert_told(paper: bytes) -> None:
    """What must hold of every paper for who hears it: its facts, all words but the foot in the tree, headings in turn."""
    reader = pypdf.PdfReader(BytesIO(paper))
    catalog, facts = reader.trailer["/Root"], reader.metadata
    assert facts
    assert all(facts.get(f"/{name}") for name in ("Title", "Author", "Subject"))
    assert catalog["/Lang"]
    assert catalog["/MarkInfo"]["/Marked"].value is True
    assert catalog["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    found = told(paper)
    heads = [int(role[1:]) for role, _ in found if role[:1] == "H" and role[1:].isdigit()]
    assert all(level <= last + 1 for last, level in pairwise(heads)), heads
    assert all(words for role, words in found if role == "Figure" or (role[:1] == "H" and role[1:].isdigit()))
    with pypdfium2.PdfDocument(paper) as document:
        unsaid = _marked(document[0]).get(-1, "")
    assert re.sub(r"\s*\S+ \d+( \S+ |/)\d+$", "", unsaid).rstrip("…") in facts["/Subject"], unsaid


def assert_printable(paper: bytes, margin_mm: float = 2) -> None:
    """What must hold on every paper: own embedded type, black only, ink inside the page, no text over text or bars."""
    for font in fonts(paper):
        assert font["/Subtype"] == "/TrueType"
        assert "TawerySans" in font["/BaseFont"] or "TawerySerif" in font["/BaseFont"]
        assert "/FontFile2" in font["/FontDescriptor"]
        assert "/ToUnicode" in font
    for op, operands in colours(paper):
        assert op in {b"rg", b"RG", b"g", b"G"}, op
        assert all(float(value) == 0 for value in operands), (op, operands)
    assert_told(paper)
    for page in range(len(pages(paper))):
        edge = page_spot(paper, margin_mm, page)
        spots = text_spots(paper, page)
        assert spots
        for text, spot in spots:
            assert spot.within(edge), (text, spot)
        for index, (text, spot) in enumerate(spots):
            for other, place in spots[index + 1 :]:
                assert not spot.meets(place, 0.5), (text, other)
        paths = path_spots(paper, page)
        assert all(path.within(page_spot(paper, 0, page)) for path in paths)
        codes = code_spots(paper, page)
        assert not [text for text, spot in spots for code in codes if spot.meets(code)]
