"""Owns the files of type that papers embed: cut once from the fonts installed, static, small, and kept in a folder.

Cutting takes seconds, so a cut is a file named by its font's version. Must not draw, and must not choose a face.
"""

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import fontpkg
from fontTools import subset
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont as FontFile, newTable
from fontTools.ttLib.scaleUpem import scale_upem
from fontTools.varLib import instancer

# What is left out of a cut on purpose is no news.
subset.log.setLevel("ERROR")

REGULAR = "TawerySans"
BOLD = "TawerySansBold"
ASCENT = 0.98  # of the size: room for a capital with its ring or dots
DESCENT = 0.27
SERIF = "TawerySerif"  # headlines of cards that hang on goods
WEIGHTS = {REGULAR: 400, BOLD: 700, SERIF: 600}

# Devanagari is shaped, from a face of its own; what is drawn letter by letter ends before the signs of East Asia.
_DEVANAGARI = range(0x0900, 0x0980)
LAST = 0x2E80
_UNITS = 1000
_FINEST = 0.001  # of the em: how far a curve may be moved to be told in TrueType's own; a printer shows none of it


def folder() -> Path:
    """Where the cuts are kept: the data folder, or a private folder of this user among the temporary files."""
    data = os.environ.get("TAWERY_DATA")
    if data:
        place = Path(data) / "fonts"
        place.mkdir(parents=True, exist_ok=True)
        return place
    place = Path(tempfile.gettempdir()) / f"tawery-fonts-{os.getuid() if hasattr(os, 'getuid') else 'user'}"
    place.mkdir(mode=0o700, exist_ok=True)
    if hasattr(os, "getuid") and place.stat().st_uid != os.getuid():
        # A folder somebody else made under this name could hold a font of theirs.
        return Path(tempfile.mkdtemp(prefix="tawery-fonts-"))
    return place


def cut(name: str, into: Path) -> Path:
    """Make the static cut `name` of the type of all papers in `into` unless it is there, and return its path."""
    family = fontpkg.family("Noto Serif" if name == SERIF else "Noto Sans")
    target = into / f"{name}-{family.version}.ttf"
    if target.exists():
        return target
    source = next(file.path for file in family.files if file.style == "normal" and file.variable)
    with FontFile(source, recalcTimestamp=False) as font:
        wanted = [c for c in font.getBestCmap() if c < LAST and c not in _DEVANAGARI]
        return _save(font, wanted, target, name=name, weight=WEIGHTS[name], shaped=False)


def part(
    source: Path, index: int, letters: Iterable[int], target: Path, *, name: str, weight: int, shaped: bool
) -> Path:
    """Make a static cut of some letters of a font file, unless it is there; `shaped` keeps how letters join and stack."""
    if target.exists():
        return target
    with FontFile(source, fontNumber=index, recalcTimestamp=False, lazy=True) as font:
        return _save(font, letters, target, name=name, weight=weight, shaped=shaped)


def _save(font: Any, letters: Iterable[int], target: Path, *, name: str, weight: int, shaped: bool) -> Path:
    _keep(font, letters, shaped)
    if "fvar" in font:
        axes = {axis.axisTag: axis.defaultValue for axis in font["fvar"].axes}
        limits = {axis.axisTag: (axis.minValue, axis.maxValue) for axis in font["fvar"].axes}
        for axis, value in (("wght", weight), ("wdth", 100)):
            if axis in axes:
                axes[axis] = min(max(value, limits[axis][0]), limits[axis][1])
        instancer.instantiateVariableFont(font, axes, inplace=True)
    if "glyf" not in font:
        _to_truetype(font)
    # Groups of glyphs are put together in thousandths, as all of the drawing library's measures are.
    if font["head"].unitsPerEm != _UNITS:
        scale_upem(font, _UNITS)
    _rename(font, name)
    # Written aside and moved, so that a second process never reads half a font.
    handle, aside = tempfile.mkstemp(dir=target.parent, suffix=".ttf")
    os.close(handle)
    font.save(aside)
    return Path(aside).replace(target)


def _keep(font: Any, letters: Iterable[int], shaped: bool) -> None:
    options = subset.Options()
    options.hinting = False
    options.notdef_outline = True
    options.recalc_timestamp = False
    if not shaped:
        options.layout_features = []
        options.drop_tables += ["GSUB", "GPOS", "GDEF"]
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=letters)
    cutter.subset(font)


def _to_truetype(font: Any) -> None:
    """Outlines of the other kind (CFF) told in TrueType's curves: the drawing library embeds no others."""
    drawn, order, units = font.getGlyphSet(), font.getGlyphOrder(), font["head"].unitsPerEm
    glyphs = {}
    for glyph in order:
        pen = TTGlyphPen(None)
        drawn[glyph].draw(Cu2QuPen(pen, units * _FINEST, reverse_direction=True))
        glyphs[glyph] = pen.glyph()
    font["loca"], font["glyf"] = newTable("loca"), newTable("glyf")
    font["glyf"].glyphOrder, font["glyf"].glyphs = order, glyphs
    most = font["maxp"]
    most.tableVersion = 0x00010000
    for each in ("Zones", "TwilightPoints", "Storage", "FunctionDefs", "InstructionDefs", "StackElements"):
        setattr(most, f"max{each}", 1 if each == "Zones" else 0)
    most.maxSizeOfInstructions = most.maxComponentElements = 0
    for glyph, (advance, _) in font["hmtx"].metrics.items():
        font["glyf"][glyph].recalcBounds(font["glyf"])
        font["hmtx"][glyph] = advance, getattr(font["glyf"][glyph], "xMin", 0)
    font["post"].formatType = 3.0
    for table in ("CFF ", "CFF2", "VORG"):
        if table in font:
            del font[table]
    font.sfntVersion = "\000\001\000\000"


def _rename(font: Any, name: str) -> None:
    """Every cut carries its font's names; a reader that caches fonts by name would mix them up."""
    for record in font["name"].names:
        if record.nameID in (1, 4, 6, 16):
            record.string = name
