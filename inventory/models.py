"""What the ground floor remembers."""

from inventory.articles.models import Article, ArticleSkin, Hair, Method, Regrade, Use
from inventory.base.accounting.models import Closing, CostFlowChange
from inventory.base.chain.models import ChainLink
from inventory.base.labels.models import LabelSheet
from inventory.base.models import CostFlow, Request, Workshop
from inventory.base.sheets.models import BroughtRow, SheetHeads, WaitingSheet
from inventory.base.wording.models import CheckedLanguage, Phrase
from inventory.deliveries.corrections.models import CorrectedLine
from inventory.deliveries.models import Delivery, DeliveryLine
from inventory.foresight.snoozes.models import Snooze
from inventory.ledger.models import INWARD, OUTWARD_REASONS, Kind, Lot, LotDraw, Monthly, Movement, Posting
from inventory.materials.models import Material
from inventory.orders.models import Order, OrderLine
from inventory.people.links.models import Door, SignInLink
from inventory.people.passkeys.models import Passkey
from inventory.places.models import Place
from inventory.places.moves.models import OUT, Move
from inventory.skins.models import Skin
from inventory.suppliers.models import Supplier
