"""Owns which face has a letter that the type of all papers lacks: first an installed package of its script, then the system's.

What none has is told with what to do about it. Must not draw, and must not know how letters join.
"""

import os
import sys
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from hashlib import sha256
from importlib import metadata, util
from pathlib import Path
from typing import Any

from fontTools import unicodedata as scripts
from fontTools.ttLib import TTCollection, TTFont as FontFile, TTLibError

from workshop.documents.type import cuts

INSTALL = ".venv/bin/pip install -e '.[scripts]'"
COMMON = ("Zyyy", "Zinh")
# Each letter of these stands by itself, in the order it is written; all others want joining, stacking or turning round.
_SIMPLE = {*COMMON, "Latn", "Grek", "Cyrl", "Armn", "Geor", "Ethi", "Cher", "Hani", "Hira", "Kana", "Hang", "Bopo"}
_PICTURES = range(0x1F000, 0x1FB00)
_EMBEDDABLE = 0x0302  # bits of a font's own licence (OS/2 fsType): restricted, no subsets, bitmaps only


@dataclass(frozen=True)
class Packaged:
    """A package that carries a face, and the file in it."""

    name: str
    package: str
    module: str
    file: str
    scripts: tuple[str, ...]


# The extra `scripts` of pyproject.toml, which holds their versions.
PACKAGED = (
    Packaged("Hebrew", "fontpkg-assistant", "fontpkg_assistant", "files/Assistant[wght].ttf", ("Hebr",)),
    Packaged(
        "Arabic",
        "fontpkg-noto-sans-arabic",
        "fontpkg_noto_sans_arabic",
        "files/NotoSansArabic[wdth,wght].ttf",
        ("Arab",),
    ),
    Packaged(
        "Devanagari",
        "fontpkg-noto-sans-devanagari",
        "fontpkg_noto_sans_devanagari",
        "files/NotoSansDevanagari[wdth,wght].ttf",
        ("Deva",),
    ),
    Packaged(
        "EastAsian",
        "paperang-p2-fonts-cjk",
        "paperang_p2_fonts_cjk",
        "fonts/wqy-microhei.ttc",
        ("Hani", "Hira", "Kana", "Hang", "Bopo"),
    ),
)


@dataclass(frozen=True)
class Face:
    """A font file (its place in a collection) that letters can be taken from; `mark` changes when the file does.

    `bold`: it has strokes of its own for bold, in this file or beside it. `static`: the drawing library takes it as it is.
    """

    name: str
    path: Path
    mark: str
    index: int = 0
    bold: bool = False
    static: bool = False

    def letters(self) -> frozenset[int]:
        return _letters(self.path, self.index)


def script(letter: str) -> str:
    return str(scripts.script(letter))


def simple(of: str) -> bool:
    """Whether a script is drawn letter by letter."""
    return of in _SIMPLE


@cache
def shaping() -> bool:
    """Whether what joins, stacks and turns letters round is installed."""
    return all(util.find_spec(module) for module in ("uharfbuzz", "bidi"))


@cache
def find(letter: str) -> Face | None:
    """The face that this letter is drawn from; None where none is installed, or where it would come out wrong."""
    of = script(letter)
    if ord(letter) in _PICTURES or of == "Zzzz" or not (simple(of) or shaping()):
        return None
    ours = (_packaged(each) for each in PACKAGED if of in each.scripts or of in COMMON)
    return next((face for face in ours if face and ord(letter) in face.letters()), None) or _on_system(ord(letter))


def why_not(letter: str) -> str:
    """The letter that no face has, by name, and what to do next."""
    of, code = script(letter), ord(letter)
    called = (
        unicodedata.name(letter, "").lower() if of in COMMON else scripts.script_name(of, default="").replace("_", " ")
    )
    named = f"“{letter}” (U+{code:04X}{', ' if called else ''}{called})"
    if of == "Zzzz":
        return f"the sign U+{code:04X}, which is no letter of any script. Take it out."
    if code in _PICTURES:
        return f"the picture {named}, which is not printed. Take it out, or say it in words."
    packaged = any(of in each.scripts for each in PACKAGED)
    if packaged or not (simple(of) or shaping()):
        return f"the letter {named} that no installed type has. Install the further types: {INSTALL}"
    return (
        f"the letter {named} that no installed type has."
        " Install a typeface with it on this computer, or write it in other letters."
    )


@cache
def _packaged(wanted: Packaged) -> Face | None:
    found = util.find_spec(wanted.module)
    if found is None or found.origin is None:
        return None
    path = Path(found.origin).parent / wanted.file
    if not path.exists():
        return None
    variable = "[" in wanted.file
    return Face(wanted.name, path, metadata.version(wanted.package), bold=variable, static=not variable)


def folders() -> list[Path]:
    """Where systems keep their typefaces, as their own documentation names the places (from memory)."""
    home = Path.home()
    if sys.platform == "win32":
        local = os.environ.get("LOCALAPPDATA", str(home / "AppData/Local"))
        return [Path(os.environ.get("WINDIR", "C:/Windows")) / "Fonts", Path(local) / "Microsoft/Windows/Fonts"]
    if sys.platform == "darwin":
        return [home / "Library/Fonts", Path("/Library/Fonts"), Path("/System/Library/Fonts")]
    return [home / ".local/share/fonts", home / ".fonts", Path("/usr/local/share/fonts"), Path("/usr/share/fonts")]


def _on_system(letter: int) -> Face | None:
    """The first upright face of the system with the letter: sans before serif, by name."""
    for path, index in _system():
        if letter >> 8 in _blocks(path, index) and letter in _letters(path, index):
            font = _opened(path, index)
            if font is None or not _usable(font):
                continue
            with font:
                variable = "fvar" in font
                name = "".join(c for c in font["name"].getBestFamilyName() or "" if c.isascii() and c.isalnum())
            seen = path.stat()
            mark = sha256(f"{path}{index}{seen.st_mtime_ns}{seen.st_size}".encode()).hexdigest()[:8]
            beside = _beside(path)
            return Face(name[:24], path, mark, index, bold=variable or beside != path)
    return None


def _beside(path: Path) -> Path:
    beside = path.with_name(path.name.replace("-Regular", "-Bold"))
    return beside if beside.exists() else path


@cache
def _system() -> tuple[tuple[Path, int], ...]:
    files = (file for each in folders() if each.is_dir() for file in each.rglob("*.[to]t[fc]"))
    slanted = ("italic", "oblique", "bold", "light", "thin", "black", "condensed", "medium", "mono")
    upright = (file for file in files if not any(word in file.name.lower() for word in slanted))
    ordered = sorted(
        upright, key=lambda file: ("serif" in file.name.lower(), "sans" not in file.name.lower(), str(file))
    )
    return tuple((file, index) for file in ordered for index in _fonts_in(file))


def _fonts_in(file: Path) -> Iterator[int]:
    if file.suffix.lower() not in (".ttc", ".otc"):
        yield 0
        return
    try:
        with TTCollection(file, lazy=True) as collection:
            yield from range(len(collection.fonts))
    except (OSError, TTLibError):
        return


def _opened(path: Path, index: int) -> Any:
    """The font, to be closed again; None for a file that cannot be read as one."""
    try:
        file = path.open("rb")
    except OSError:
        return None
    try:
        return FontFile(file, fontNumber=index, lazy=True)
    except Exception:  # a damaged file of the system can fail in any way
        file.close()
        return None


def _usable(font: Any) -> bool:
    """Whether it has outlines, and its licence lets a part of it stand in a paper."""
    return ("glyf" in font or "CFF " in font) and "OS/2" in font and not font["OS/2"].fsType & _EMBEDDABLE


@lru_cache(16)
def _letters(path: Path, index: int) -> frozenset[int]:
    font = _opened(path, index)
    if font is None:
        return frozenset()
    try:
        with font:
            return frozenset(font.getBestCmap() or ())
    except Exception:  # the same
        return frozenset()


@cache
def _blocks(path: Path, index: int) -> frozenset[int]:
    return frozenset(letter >> 8 for letter in _letters(path, index))


@dataclass(frozen=True)
class File:
    """A static font file under the name that papers know it by; `shaped` holds a whole script, to be joined and stacked."""

    name: str
    path: Path
    index: int = 0
    shaped: bool = False


def file_for(face: Face, letter: str, *, bold: bool) -> File:
    """The file that a letter is drawn from: the face's own, or a cut of its script, or of 256 letters where it has very many."""
    of, thick = script(letter), bold and face.bold
    shaped = not simple(of)
    name = f"{cuts.BOLD if thick else cuts.REGULAR}-{face.name}"
    if face.static and not shaped:
        return File(name, face.path, face.index)
    if shaped:
        letters = [c for c in face.letters() if script(chr(c)) == of or (c < cuts.LAST and script(chr(c)) in COMMON)]
    else:
        letters = [c for c in face.letters() if c >> 8 == ord(letter) >> 8]
    name += f"-{of}" if shaped else f"-{ord(letter) >> 8:X}"
    source = _beside(face.path) if thick else face.path
    target = cuts.folder() / f"{name}-{face.mark}.ttf"
    weight = cuts.WEIGHTS[cuts.BOLD if thick else cuts.REGULAR]
    path = cuts.part(source, face.index, letters, target, name=name, weight=weight, shaped=shaped)
    return File(name, path, shaped=shaped)
