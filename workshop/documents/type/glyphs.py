"""Owns a type that is drawn by groups of glyphs: joined and stacked letters, each group one glyph with the text it stands for.

So a reader of the paper gets the text back (ToUnicode), marks and all. Must not know which glyphs a text takes.
"""

from collections.abc import Sequence
from struct import pack, pack_into, unpack
from threading import Lock
from typing import Any

from reportlab.pdfbase.ttfonts import TTFont

_FIRST = 0xF0000  # private codes beyond every letter: they name glyphs inside the drawing library and stand in no paper
_MOST_AT_ONCE = 100  # entries in one block of a ToUnicode map, by its specification (from memory)
# A glyph put together of others, as the format of TrueType writes it (OpenType specification, table glyf, from memory).
_COMPOSED, _WORDS, _OFFSETS, _MORE = -1, 0x0001, 0x0002, 0x0020
_MAXP_COMPOSED = 10  # where maxp keeps the most points, contours; and 18 bytes on the most parts and levels
Placed = tuple[int, int, int]  # a glyph and how far it is moved to the right and up, in thousandths of the size


class Glyphs(TTFont):
    """A static font file; `composed` (of 1,000 units then) any group of its glyphs can be drawn as one."""

    def __init__(self, name: str, path: str, index: int = 0, *, composed: bool = False) -> None:
        super().__init__(name, path, subfontIndex=index, asciiReadable=False)
        self.face.name = name.encode()
        self.file = self.face._ttf_data
        self.codes: dict[tuple[tuple[Placed, ...], int, str], str] = {}
        self.said = {32: " "}
        self._lock = Lock()
        if composed:
            self._outlines_last()
        else:
            self._mend_widths()

    def code(self, glyphs: Sequence[Placed], advance: int, text: str) -> str:
        """The sign by which the drawing library draws these glyphs, `advance` wide, standing for `text`."""
        key = (tuple(glyphs), advance, text)
        with self._lock:
            if key not in self.codes:
                code = _FIRST + len(self.codes)
                self.face.charToGlyph[code] = self._composed(key[0], advance)
                self.face.charWidths[code] = self.face._pdfScale(advance)
                self.said[code] = text
                self.codes[key] = chr(code)
            return self.codes[key]

    def advance(self, glyph: int) -> int:
        return int(self.face.hmetrics[glyph][0])

    def addObjects(self, doc: Any) -> None:  # noqa: N802 - the library's own name
        """The parts of this font that `doc` uses, and the text of their glyphs in the place of our private codes."""
        parts = self.state[doc].subsets
        names = [self.getSubsetInternalName(at, doc)[1:] for at in range(len(parts))]
        super().addObjects(doc)
        fonts = doc.idToObject["BasicFonts"].dict
        for name, part in zip(names, parts, strict=True):
            texts = [self.said.get(code, "") for code in part]
            doc.idToObject[fonts[name].ToUnicode.name].content = to_unicode(fonts[name].BaseFont, texts)

    def _mend_widths(self) -> None:
        """The last glyphs of a file may share one width, which the library has turned into thousandths already, and so twice."""
        face = self.face
        face.seek_table("hhea", 34)
        full = face.read_ushort()
        face.hmetrics[full:] = [(face.hmetrics[full - 1][0], left) for _, left in face.hmetrics[full:]]

    def _outlines_last(self) -> None:
        """The outlines at the end of the file, so that more of them can follow; and room for groups of them."""
        face = self.face
        start, length = face.get_table_pos("glyf")
        data = bytearray(face._ttf_data)
        maxp = face.get_table_pos("maxp")[0]
        pack_into(">HH", data, maxp + _MAXP_COMPOSED, 0xFFFF, 0xFFFF)
        pack_into(">HH", data, maxp + _MAXP_COMPOSED + 18, 0xFF, 8)
        face.table["glyf"] = {**face.table["glyf"], "offset": len(data)}
        face._ttf_data = bytes(data) + face._ttf_data[start : start + length]

    def _composed(self, glyphs: tuple[Placed, ...], advance: int) -> int:
        """A glyph of the file where one alone stands in its own place, else a new one put together."""
        if len(glyphs) == 1 and glyphs[0][1:] == (0, 0) and self.advance(glyphs[0][0]) == advance:
            return glyphs[0][0]
        face = self.face
        inked = [(each, ink) for each in glyphs if (ink := box(face, each[0]))]
        edges = [[low + each[1 + at % 2] for at, low in enumerate(ink)] for each, ink in inked]
        made, low = b"", [0]
        if inked:
            low, high = ([pick(edge[at] for edge in edges) for at in range(4)] for pick in (min, max))
            made = pack(">h4h", _COMPOSED, low[0], low[1], high[2], high[3])
            for at, ((glyph, right, up), _) in enumerate(inked, start=1):
                made += pack(">HHhh", _WORDS | _OFFSETS | (_MORE if at < len(inked) else 0), glyph, right, up)
        end = face.glyphPos[-1]
        table = face.table["glyf"]
        face._ttf_data = face._ttf_data[: table["offset"] + end] + made
        table["length"] = end + len(made)
        face.glyphPos.append(end + len(made))
        face.hmetrics.append((advance, low[0] & 0xFFFF))
        return len(face.glyphPos) - 2


def box(face: Any, glyph: int) -> tuple[int, ...]:
    """The edges of a glyph's ink in the font's own units: left, bottom, right, top; nothing for one without ink."""
    at, end = face.glyphPos[glyph : glyph + 2]
    start = face.table["glyf"]["offset"] + at
    return unpack(">4h", face._ttf_data[start + 2 : start + 10]) if end > at else ()


def to_unicode(font: str, texts: list[str]) -> str:
    """The map from the bytes 0, 1, 2, … of a font to the texts they stand for."""
    pairs = [f"<{at:02X}> <{text.encode('utf-16-be').hex().upper()}>" for at, text in enumerate(texts)]
    blocks = [pairs[at : at + _MOST_AT_ONCE] for at in range(0, len(pairs), _MOST_AT_ONCE)]
    mapped = "\n".join(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks)
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        f"/CIDSystemInfo << /Registry ({font}) /Ordering ({font}) /Supplement 0 >> def\n"
        f"/CMapName /{font} def\n/CMapType 2 def\n"
        f"1 begincodespacerange\n<00> <{len(texts) - 1:02X}>\nendcodespacerange\n{mapped}\n"
        "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
    )
