"""Addresses of the ground floor."""

from django.urls import URLPattern, URLResolver, path

import inventory.web.paths  # noqa: F401
from inventory.articles import views as articles
from inventory.deliveries import views as deliveries
from inventory.deliveries.corrections import views as corrections
from inventory.foresight.shelf import views as shelf
from inventory.foresight.shopping import views as shopping
from inventory.foresight.snoozes import views as snoozes
from inventory.ledger import views as ledger
from inventory.materials import views as materials
from inventory.orders import views as orders
from inventory.orders.receipts import views as receipts
from inventory.places import views as places
from inventory.places.moves import views as moves
from inventory.skins import views as skins
from inventory.stocktake import views as stocktake
from inventory.suppliers.purchases import views as purchases

urlpatterns: list[URLPattern | URLResolver] = [
    path("shelf/", shelf.Shelf.as_view(), name="shelf"),
    path("shelf/new/", materials.MaterialNew.as_view(), name="material_new"),
    path("shelf/count/", stocktake.CountSheet.as_view(), name="count_sheet"),
    path("shelf/to-order/", shopping.to_order, name="to_order"),
    path("shelf/<code:code>/", shelf.material, name="material"),
    path("shelf/<code:code>/edit/", materials.MaterialEdit.as_view(), name="material_edit"),
    path("shelf/<code:code>/opening/", materials.Opening.as_view(), name="material_open"),
    path("shelf/<code:code>/density/", materials.Weigh.as_view(), name="material_weigh"),
    path("shelf/<code:code>/count/", materials.Count.as_view(), name="count_new"),
    path("shelf/<code:code>/out/", materials.StockOut.as_view(), name="stock_out"),
    path("shelf/<code:code>/not-now/", snoozes.SnoozeNew.as_view(), name="material_snooze"),
    path("snoozes/<int:pk>/end/", snoozes.SnoozeEnd.as_view(), name="snooze_end"),
    path("shelf/<code:code>/move/", moves.MaterialMove.as_view(), name="material_move"),
    path("skins/<code:tag>/move/", moves.SkinMove.as_view(), name="skin_move"),
    path("articles/<code:number>/move/", moves.ArticleMove.as_view(), name="article_move"),
    path("articles/<code:number>/out/", moves.ArticleOut.as_view(), name="article_out"),
    path("articles/<code:number>/regrade/", articles.ArticleRegrade.as_view(), name="article_regrade"),
    path("articles/<code:number>/label/", articles.ArticleNaming.as_view(), name="article_label"),
    path("moves/<int:pk>/take-back/", moves.MoveReversal.as_view(), name="move_reverse"),
    path("orders/", orders.Orders.as_view(), name="orders"),
    path("orders/new/", orders.OrderNew.as_view(), name="order_new"),
    path("orders/<code:number>/", orders.order, name="order"),
    path("orders/<code:number>/edit/", orders.OrderEdit.as_view(), name="order_edit"),
    path("orders/<code:number>/goods-in/", receipts.GoodsIn.as_view(), name="order_receive"),
    path("orders/<code:number>/close/", orders.OrderClose.as_view(), name="order_close"),
    path("orders/<code:number>/reopen/", orders.OrderReopen.as_view(), name="order_reopen"),
    path("deliveries/", deliveries.Deliveries.as_view(), name="deliveries"),
    path("deliveries/new/", deliveries.DeliveryNew.as_view(), name="delivery_new"),
    path("deliveries/<int:pk>/", deliveries.delivery, name="delivery"),
    path("deliveries/<int:pk>/bill/", deliveries.bill, name="delivery_bill"),
    path("deliveries/<int:pk>/bill/new/", deliveries.DeliveryBill.as_view(), name="delivery_bill_new"),
    path("deliveries/<int:pk>/correct/", corrections.DeliveryCorrection.as_view(), name="delivery_correct"),
    path("postings/<int:pk>/", ledger.posting, name="posting"),
    path("postings/<int:pk>/take-back/", ledger.PostingReversal.as_view(), name="posting_reverse"),
    path("suppliers/", purchases.Suppliers.as_view(), name="suppliers"),
    path("suppliers/<int:pk>/", purchases.supplier, name="supplier"),
    path("suppliers/<int:pk>/edit/", purchases.SupplierEdit.as_view(), name="supplier_edit"),
    path("places/", places.Places.as_view(), name="places"),
    path("places/new/", places.PlaceNew.as_view(), name="place_new"),
    path("places/<int:pk>/edit/", places.PlaceEdit.as_view(), name="place_edit"),
    path("skins/", skins.Skins.as_view(), name="skins"),
    path("skins/new/", skins.SkinNew.as_view(), name="skin_new"),
    path("skins/<code:tag>/edit/", skins.SkinEdit.as_view(), name="skin_edit"),
]
