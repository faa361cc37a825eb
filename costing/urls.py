"""Paths of the upper floor: recipes, batches, labour, skins' cost, articles, rates and channels."""

from __future__ import annotations

from django.urls import URLPattern, path

import inventory.paths  # noqa: F401  # registers <code:...>
from costing.views import articles, batches, baths, labour, plan, readings, recipes, setup, sittings, skins, steps, work

urlpatterns: list[URLPattern] = [
    path("recipes/", recipes.RecipeList.as_view(), name="recipes"),
    path("recipes/new/", recipes.RecipeNew.as_view(), name="recipe_new"),
    path("recipes/<code:code>/", recipes.recipe, name="recipe"),
    path("recipes/<code:code>/new/", recipes.RecipeVersionNew.as_view(), name="recipe_version_new"),
    path("recipes/<code:code>/bath/", baths.recipe_bath, name="recipe_bath"),
    path("batches/", batches.BatchList.as_view(), name="batches"),
    path("batches/new/", batches.BatchNew.as_view(), name="batch_new"),
    path("batches/<code:number>/", batches.batch, name="batch"),
    path("batches/<code:number>/edit/", batches.BatchEdit.as_view(), name="batch_edit"),
    path("batches/<code:number>/cancel/", batches.BatchCancel.as_view(), name="batch_cancel"),
    path("batches/<code:number>/join/", batches.BatchJoin.as_view(), name="batch_join"),
    path("batches/<code:number>/leave/<code:tag>/", batches.BatchLeave.as_view(), name="batch_leave"),
    path("batches/<code:number>/put-in-work/", work.PutInWork.as_view(), name="put_in_work"),
    path("batches/<code:number>/steps/", steps.steps, name="steps"),
    path("batches/<code:number>/steps/<int:step>/log/", steps.StepLog.as_view(), name="step_log"),
    path("marks/<int:pk>/undo/", steps.MarkUndo.as_view(), name="mark_undo"),
    path("marks/<int:pk>/take-back/", steps.MarkTakeBack.as_view(), name="mark_take_back"),
    path("plan/", plan.plan, name="plan"),
    path("uses/<int:pk>/take-back/", work.UseTakeBack.as_view(), name="use_take_back"),
    path("labour/", labour.LabourList.as_view(), name="labour"),
    path("labour/new/", labour.LabourNew.as_view(), name="labour_new"),
    path("labour/<int:pk>/take-back/", labour.LabourTakeBack.as_view(), name="labour_take_back"),
    path("sittings/", sittings.SittingStart.as_view(), name="sittings"),
    path("sittings/start/", sittings.SittingStart.as_view(), name="sitting_start"),
    path("sittings/stop/", sittings.SittingStop.as_view(), name="sitting_stop"),
    path("sittings/drop/", sittings.SittingDrop.as_view(), name="sitting_drop"),
    path("sittings/<int:pk>/undo/", sittings.undo, name="sitting_undo"),
    path("batches/<code:number>/read/", readings.ReadingNewBatch.as_view(), name="reading_new_batch"),
    path("skins/<code:tag>/read/", readings.ReadingNewSkin.as_view(), name="reading_new_skin"),
    path("readings/<int:pk>/take-back/", readings.ReadingTakeBack.as_view(), name="reading_take_back"),
    path("photos/<str:name>", readings.photo, name="photo"),
    path("skins/<code:tag>/", skins.skin, name="skin"),
    path("skins/<code:tag>/use/", work.UseOnSkins.as_view(), name="use_on_skins"),
    path("skins/<code:tag>/lose/", skins.SkinLose.as_view(), name="skin_lose"),
    path("articles/", articles.ArticleList.as_view(), name="articles"),
    path("articles/finish/", articles.ArticleFinish.as_view(), name="article_finish"),
    path("articles/<code:number>/", articles.article, name="article"),
    path("articles/<code:number>/price/", articles.ArticlePrice.as_view(), name="article_price"),
    path("setup/rates/", setup.RatesPage.as_view(), name="rates"),
    path("setup/channels/", setup.channel_list, name="channels"),
    path("setup/channels/new/", setup.ChannelNew.as_view(), name="channel_new"),
    path("setup/channels/<int:pk>/", setup.ChannelEdit.as_view(), name="channel_edit"),
]
