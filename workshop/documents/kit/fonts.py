"""Owns the type of every paper: Noto Sans, regular and bold, and Noto Serif for headlines, cut once and kept in a folder.

Cutting takes seconds, so the cuts are files named by the font's version. Must not draw, and must not know any paper.
"""

import os
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import fontpkg
from fontTools import subset
from fontTools.ttLib import TTFont as FontFile
from fontTools.varLib import instancer
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "TawerySans"
BOLD = "TawerySansBold"
SERIF = "TawerySerif"  # headlines of cards that hang on goods; cut when the first is printed
WEIGHTS = {REGULAR: 400, BOLD: 700, SERIF: 600}
FAMILIES = {SERIF: "Noto Serif"}

# Scripts that need shaping are left out: they would print as wrong letters, which is worse than an empty box.
_DEVANAGARI = range(0x0900, 0x0980)
_LAST = 0x2E80


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
    """Make the static cut `name` in `into` unless it is there, and return its path."""
    family = fontpkg.family(FAMILIES.get(name, "Noto Sans"))
    target = into / f"{name}-{family.version}.ttf"
    if target.exists():
        return target
    source = next(file.path for file in family.files if file.style == "normal" and file.variable)
    font = FontFile(source, recalcTimestamp=False)
    _keep_alphabets(font)
    font = instancer.instantiateVariableFont(font, {"wght": WEIGHTS[name], "wdth": 100})
    _rename(font, name)
    # Written aside and moved, so that a second process never reads half a font.
    handle, aside = tempfile.mkstemp(dir=into, suffix=".ttf")
    os.close(handle)
    font.save(aside)
    return Path(aside).replace(target)


@cache
def register() -> None:
    """Make both cuts known to the drawing library. Cheap after the first call."""
    place = folder()
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(cut(name, place))))


@cache
def register_serif() -> None:
    pdfmetrics.registerFont(TTFont(SERIF, str(cut(SERIF, folder()))))


def width(text: str, font: str, size: float) -> float:
    """Width of `text` in points, set in `font` at `size` points."""
    return float(pdfmetrics.stringWidth(text, font, size))


def _keep_alphabets(font: Any) -> None:
    options = subset.Options()
    options.layout_features = []
    options.hinting = False
    options.notdef_outline = True
    options.recalc_timestamp = False
    options.drop_tables += ["GSUB", "GPOS", "GDEF"]
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[c for c in font.getBestCmap() if c < _LAST and c not in _DEVANAGARI])
    cutter.subset(font)


def _rename(font: Any, name: str) -> None:
    """Both cuts carry the variable font's names; a reader that caches fonts by name would mix them up."""
    for record in font["name"].names:
        if record.nameID in (1, 4, 6, 16):
            record.string = name
