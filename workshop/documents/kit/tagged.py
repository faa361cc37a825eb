"""Owns what a screen reader finds in a paper: a tree of headings, paragraphs, tables and figures, in reading order, and its facts.

The drawing library marks nothing, so this canvas writes the marks itself (ISO 32000-1, 14.7 and 14.8): what is drawn inside
`marked` belongs to a leaf of the tree, all else is an artifact that a reader passes over. Must not draw and must not know a paper.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from functools import wraps
from typing import Any, TypeVar, cast

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFObject, PDFString
from reportlab.pdfgen.canvas import Canvas

Draw = TypeVar("Draw", bound=Callable[..., None])
_ARTIFACT, _END = "/Artifact BMC", "EMC"
_AFTER = f"{_END} {_ARTIFACT}"  # what follows a leaf is an artifact until the next


class Element(PDFObject):
    """A node of the tree: its kids are elements, or the (page, number on it) of what was drawn for it."""

    __RefOnly__ = 1

    def __init__(self, role: str, parent: Element | None, facts: str = "", alt: str = "", language: str = "") -> None:
        self.role, self.parent, self.facts, self.alt, self.language = role, parent, facts, alt, language
        self.kids: list[Element | tuple[int, int]] = []
        if parent:
            parent.kids.append(self)

    def format(self, document: Any) -> bytes:
        parent = self.parent or document.Catalog.StructTreeRoot
        words = f"/Type /StructElem /S /{self.role} /P {_refer(document, parent)} {self.facts}"
        words += "".join(
            f" /{key} {PDFString(text).format(document).decode('latin1')}"
            for key, text in (("Alt", self.alt), ("Lang", self.language))
            if text
        )
        kids = " ".join(_kid(document, kid) for kid in self.kids)
        return f"<< {words} /K [ {kids} ] >>".encode("latin1")


class _Root(PDFObject):
    """The tree as the catalog has it, and for each page the elements of its leaves by their numbers."""

    __RefOnly__ = 1

    def __init__(self, top: Element, pages: list[list[Element]]) -> None:
        self.top, self.pages = top, pages

    def format(self, document: Any) -> bytes:
        rows = (
            f"{at} [ {' '.join(_refer(document, each) for each in leaves)} ]" for at, leaves in enumerate(self.pages)
        )
        words = f"/Type /StructTreeRoot /K {_refer(document, self.top)} /ParentTree << /Nums [ {' '.join(rows)} ] >>"
        return f"<< {words} /ParentTreeNextKey {len(self.pages)} >>".encode("latin1")


class _Info(PDFInfo):
    """The facts of a paper; its day, if it has one, is the paper's own and not that of the printing."""

    day: date | None = None

    def format(self, document: Any) -> Any:
        named = {"Title": self.title, "Author": self.author, "Subject": self.subject, "Creator": self.creator}
        facts = {**named, "Producer": self.producer}
        if self.day:
            facts["CreationDate"] = facts["ModDate"] = f"D:{self.day:%Y%m%d}"
        return PDFDictionary({key: PDFString(text) for key, text in facts.items()}).format(document)


class Tagged(Canvas):
    """A canvas that keeps the tree of what is drawn on it."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{**options, "pdfVersion": (1, 7)})
        self._top = Element("Document", None)
        self._open, self._named = [self._top], dict[int, Element]()
        self._pages: list[list[Element]] = []
        self._leaves: list[Element] = []
        self._hushed = 0
        catalog = self._doc.Catalog
        catalog.StructTreeRoot = _Root(self._top, self._pages)
        catalog.MarkInfo = PDFDictionary({"Marked": "true"})
        self.setViewerPreference("DisplayDocTitle", "true")
        self._doc.info = _Info()

    def say(self, *, title: str, author: str, subject: str, day: date | None = None) -> None:
        """What the paper is, for lists of files and for the window's title."""
        info = self._doc.info
        info.title, info.author, info.subject, info.creator, info.day = title, author, subject, "Tawery", day

    def enter(self, role: str, *, facts: str = "", language: str = "", of: object = None) -> None:
        """Open an element, or again the one opened `of` the same thing; close it with `leave`."""
        found = self._named.get(id(of)) if of is not None else None
        found = found or Element(role, self._open[-1], facts, language=language)
        if of is not None:
            self._named[id(of)] = found
        self._open.append(found)

    def leave(self) -> None:
        self._open.pop()

    @contextmanager
    def within(self, role: str, *, language: str = "") -> Iterator[None]:
        """What is drawn here stands together, in another language if one is named."""
        self.enter(role, language=language)
        yield
        self.leave()

    @contextmanager
    def hushed(self) -> Iterator[None]:
        """What is drawn here is not read out: it repeats what was said, or belongs to the page and not to the paper."""
        self._hushed += 1
        yield
        self._hushed -= 1

    @contextmanager
    def marked(self, role: str = "P", *, alt: str = "", box: tuple[float, float] | None = None) -> Iterator[None]:
        """What is drawn here is one leaf; inside another it adds nothing. A picture says `alt`, and its width and height."""
        if self._hushed:
            yield
            return
        facts = ""
        if box:
            sides = (*self.absolutePosition(0, 0), *self.absolutePosition(*box))
            facts = f"/A << /O /Layout /BBox [ {' '.join(f'{side:.2f}' for side in sides)} ] >>"
        begin = f"/{role} << /MCID {len(self._leaves)} >> BDC"
        self._leaves.append(Element(role, self._open[-1], facts, alt))
        if self._code and self._code[-1] == _AFTER:
            self._code[-1] = f"{_END} {begin}"
        else:
            self._code.append(f"{_END} {begin}")
        with self.hushed():
            yield
        self._code.append(_AFTER)

    def fill_whole(self, runs: Iterable[tuple[int, int, int]]) -> None:
        """Fill rectangles one unit tall, each by its left, its lower edge and its length in whole units, as one shape.

        The library's own path writes each number as a decimal fraction, which takes a fifth of the time of a run of labels.
        """
        self._code.append(" ".join(f"{left} {low} {length} 1 re" for left, low, length in runs) + " f")

    def showPage(self) -> None:  # noqa: N802 - the library's own name
        self._code.insert(0, _ARTIFACT)
        self._code.append(_END)
        at, pages = len(self._pages), self._doc.Pages.pages
        for number, leaf in enumerate(self._leaves):
            leaf.kids.append((at, number))
        self._pages.append(self._leaves)
        super().showPage()
        pages[at].StructParents = at
        pages[at].__NoDefault__ = [*pages[at].__NoDefault__, "StructParents"]

    def _startPage(self) -> None:  # noqa: N802 - the library's own name
        super()._startPage()
        self._leaves = []


class Cells:
    """Tells the library's table as one. `role` of a cell by its row and column: a head of its "Column" or "Row", "TD", or nothing.

    Parts of one table on several pages name the same `whole`; `again` says that its head was told on a page before.
    """

    def __init__(self, role: Callable[[int, int], str], whole: object = None, *, again: bool = False) -> None:
        self._role, self._whole, self._again = role, whole, again

    def __call__(self, grid: Any, what: str, row: int = 0, column: int = 0, *_: object) -> None:
        """The library calls this before and after the table, each row and each cell."""
        on = grid.canv
        if what == "startTable":
            on.enter("Table", of=self._whole)
        elif what == "startRow":
            self._hush = on.hushed() if self._again and row == 0 else None
            if self._hush:
                self._hush.__enter__()
            else:
                on.enter("TR")
        elif what == "startCell":
            self._cell = not self._hush and self._role(row, column)
            if self._cell:
                head = self._cell != "TD"
                on.enter("TH" if head else "TD", facts=f"/A << /O /Table /Scope /{self._cell} >>" if head else "")
        elif what == "endRow" and self._hush:
            self._hush.__exit__(None, None, None)
        elif what in ("endTable", "endRow") or (what == "endCell" and self._cell):
            on.leave()


def read_out(draw: Draw) -> Draw:
    """What the function draws on its canvas is a paragraph of its own."""

    @wraps(draw)
    def told(on: Any, *args: Any, **options: Any) -> None:
        with on.marked():
            draw(on, *args, **options)

    return cast(Draw, told)


def _refer(document: Any, thing: Any) -> str:
    """How one object of the file names another; asked of an element by each of its kids."""
    told: str | None = getattr(thing, "_referred", None)
    if told is None:
        told = thing._referred = str(document.Reference(thing).format(document).decode("latin1"))
    return told


def _kid(document: Any, kid: Element | tuple[int, int]) -> str:
    if isinstance(kid, Element):
        return _refer(document, kid)
    page, number = kid
    return f"<< /Type /MCR /Pg {_refer(document, document.Pages.pages[page])} /MCID {number} >>"
