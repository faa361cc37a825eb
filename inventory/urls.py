"""Addresses of the ground floor."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from inventory import paths  # noqa: F401 - makes <code:...> known
from inventory.views import articles, counting, deliveries, materials, moves, places, postings, skins, suppliers

urlpatterns: list[URLPattern | URLResolver] = [
    path("shelf/", materials.Shelf.as_view(), name="shelf"),
    path("shelf/new/", materials.MaterialNew.as_view(), name="material_new"),
    path("shelf/count/", counting.CountSheet.as_view(), name="count_sheet"),
    path("shelf/<code:code>/", materials.material, name="material"),
    path("shelf/<code:code>/edit/", materials.MaterialEdit.as_view(), name="material_edit"),
    path("shelf/<code:code>/opening/", materials.Opening.as_view(), name="material_open"),
    path("shelf/<code:code>/density/", materials.Weigh.as_view(), name="material_weigh"),
    path("shelf/<code:code>/count/", materials.Count.as_view(), name="count_new"),
    path("shelf/<code:code>/out/", materials.StockOut.as_view(), name="stock_out"),
    path("shelf/<code:code>/move/", moves.MaterialMove.as_view(), name="material_move"),
    path("skins/<code:tag>/move/", moves.SkinMove.as_view(), name="skin_move"),
    path("articles/<code:number>/move/", moves.ArticleMove.as_view(), name="article_move"),
    path("articles/<code:number>/out/", moves.ArticleOut.as_view(), name="article_out"),
    path("articles/<code:number>/regrade/", articles.ArticleRegrade.as_view(), name="article_regrade"),
    path("moves/<int:pk>/take-back/", moves.MoveTakeBack.as_view(), name="move_take_back"),
    path("deliveries/", deliveries.Deliveries.as_view(), name="deliveries"),
    path("deliveries/new/", deliveries.DeliveryNew.as_view(), name="delivery_new"),
    path("deliveries/<int:pk>/", deliveries.delivery, name="delivery"),
    path("postings/<int:pk>/", postings.posting, name="posting"),
    path("postings/<int:pk>/take-back/", postings.TakeBack.as_view(), name="posting_take_back"),
    path("suppliers/", suppliers.Suppliers.as_view(), name="suppliers"),
    path("suppliers/<int:pk>/", suppliers.supplier, name="supplier"),
    path("suppliers/<int:pk>/note/", suppliers.Note.as_view(), name="supplier_note"),
    path("places/", places.Places.as_view(), name="places"),
    path("places/new/", places.PlaceNew.as_view(), name="place_new"),
    path("places/<int:pk>/edit/", places.PlaceEdit.as_view(), name="place_edit"),
    path("skins/", skins.Skins.as_view(), name="skins"),
    path("skins/new/", skins.SkinNew.as_view(), name="skin_new"),
    path("skins/<code:tag>/edit/", skins.SkinEdit.as_view(), name="skin_edit"),
]
