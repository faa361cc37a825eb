"""The grid sheet: what the workshop measures by, and the frame that is asked for."""

from inventory.base import measures, selectors as workshop
from inventory.base.labels.lengths import INCHES, MM
from workshop.documents.shed import squares
from workshop.documents.shed.grid_sheet import GridSheet
from workshop.documents.words import selectors as words_read


def grid_sheet(frame: str = "", language: str = "") -> GridSheet:
    """In inches where areas are told in square feet. `frame`: as `squares.frame` reads it; the usual one where it is empty."""
    area = measures.area_unit()
    ruler = MM if area == "dm2" else INCHES
    return GridSheet(
        workshop=workshop.current().name,
        printed_on=workshop.today(),
        frame=squares.frame(frame, ruler),
        ruler=ruler,
        area=area,
        words=words_read.of(language),
    )
