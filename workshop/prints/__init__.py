"""From records to papers: reads what a paper needs, builds its frozen dataclass, hands it to the paper kit.

The kit (reportlab, fonts) is imported where a paper is really made: a page or command that prints nothing must not wait for it.
Whatever a paper needs and the records lack is refused in words that name the way out. Nothing here writes a record.
"""

from workshop.prints.articles import PAPERS, article_paper, care_label, price_ticket
from workshop.prints.bills import BILLS, bill_pdf, payment_pdf, sale_pdf
from workshop.prints.cards import batch_card, card_pdf
from workshop.prints.goods import fair_pdf, gallery_pdf, packing_pdf
from workshop.prints.jobs import job_pdf
from workshop.prints.labels import LABELS, label
from workshop.prints.shelves import shelf_label
from workshop.prints.sick import sick_day, sick_day_pdf
from workshop.prints.sizes import SHEETS
from workshop.prints.stock import count_sheet_pdf, stock_sheet_pdf
from workshop.prints.tags import frame_tag, skin_tag
from workshop.prints.vessels import bath_label, jar_label

__all__ = [
    "BILLS",
    "LABELS",
    "PAPERS",
    "SHEETS",
    "article_paper",
    "batch_card",
    "bath_label",
    "bill_pdf",
    "card_pdf",
    "care_label",
    "count_sheet_pdf",
    "fair_pdf",
    "frame_tag",
    "gallery_pdf",
    "jar_label",
    "job_pdf",
    "label",
    "packing_pdf",
    "payment_pdf",
    "price_ticket",
    "sale_pdf",
    "shelf_label",
    "sick_day",
    "sick_day_pdf",
    "skin_tag",
    "stock_sheet_pdf",
]
