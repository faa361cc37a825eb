"""From records to papers: reads what a paper needs, builds its frozen dataclass, hands it to the paper kit.

The kit (reportlab, fonts) is imported where a paper is really made: a page or command that prints nothing must not wait for it.
Whatever a paper needs and the records lack is refused in words that name the way out. Nothing here writes a record.
"""

from workshop.prints.articles import PAPERS, article_paper, care_label, price_ticket
from workshop.prints.cards import batch_card, card_pdf
from workshop.prints.labels import LABELS, SHEETS, label
from workshop.prints.month import month_pdf, month_report
from workshop.prints.shelves import shelf_label
from workshop.prints.sick import sick_day, sick_day_pdf
from workshop.prints.tags import frame_tag, skin_tag
from workshop.prints.vessels import bath_label, jar_label

__all__ = [
    "LABELS",
    "PAPERS",
    "SHEETS",
    "article_paper",
    "batch_card",
    "bath_label",
    "card_pdf",
    "care_label",
    "frame_tag",
    "jar_label",
    "label",
    "month_pdf",
    "month_report",
    "price_ticket",
    "shelf_label",
    "sick_day",
    "sick_day_pdf",
    "skin_tag",
]
