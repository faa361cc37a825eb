"""What the ground floor remembers."""

from inventory.models.articles import Article, ArticleSkin, Method
from inventory.models.deliveries import Delivery, DeliveryLine
from inventory.models.ledger import INWARD, OUTWARD_REASONS, Kind, Lot, LotDraw, Movement, Posting
from inventory.models.materials import Material
from inventory.models.moves import OUT, Move
from inventory.models.places import Place
from inventory.models.regrades import Regrade
from inventory.models.requests import Request
from inventory.models.skins import Skin
from inventory.models.suppliers import Supplier
from inventory.models.workshop import CostFlow, Workshop

__all__ = [
    "INWARD",
    "OUT",
    "OUTWARD_REASONS",
    "Article",
    "ArticleSkin",
    "CostFlow",
    "Delivery",
    "DeliveryLine",
    "Kind",
    "Lot",
    "LotDraw",
    "Material",
    "Method",
    "Move",
    "Movement",
    "Place",
    "Posting",
    "Regrade",
    "Request",
    "Skin",
    "Supplier",
    "Workshop",
]
