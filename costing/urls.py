"""Paths of the upper floor: recipes, batches, labour, skins' cost, articles, rates and channels."""

from django.urls import URLPattern, path

import inventory.web.paths  # noqa: F401
from costing.make.additions import views as additions
from costing.make.batches import views as batches
from costing.make.batches.issues import views as issues
from costing.make.batches.stays import views as stays
from costing.make.batches.variance import views as variance
from costing.make.baths import views as baths
from costing.make.baths.pours import views as pours
from costing.make.cost.rates import views as rates
from costing.make.finishing import views as finishing
from costing.make.frames.lacings import views as lacings
from costing.make.frames.making import views as frames
from costing.make.labour import views as labour
from costing.make.labour.sessions import views as sessions
from costing.make.losses import views as losses
from costing.make.readings import views as readings
from costing.make.readings.areas import views as areas
from costing.make.recipes import views as recipes
from costing.make.recipes.outlines import views as outlines
from costing.make.steps.marks import views as steps
from costing.make.steps.plans import views as plans
from costing.make.stocktake import views as stocktake
from costing.report.disposals import views as disposals
from costing.report.losses import views as losses_views
from costing.report.skins import views as skins
from costing.sell.accounts import views as accounts
from costing.sell.bills import views as bills
from costing.sell.customers import views as customers
from costing.sell.debts.reminders import views as reminders
from costing.sell.debts.statements import views as statements
from costing.sell.debts.write_offs import views as write_offs
from costing.sell.expenses import views as expenses
from costing.sell.fairs import views as fairs
from costing.sell.galleries import views as galleries
from costing.sell.headings import views as headings
from costing.sell.jobs import views as jobs
from costing.sell.jobs.cancellations import views as cancellations
from costing.sell.jobs.intake import views as intake
from costing.sell.payments import views as payments
from costing.sell.payments.barter import views as barter
from costing.sell.pricing import views as prices
from costing.sell.pricing.articles import views as articles
from costing.sell.pricing.channels import views as channels
from costing.sell.pricing.what_if import views as what_if
from costing.sell.sales import views as sales
from costing.sell.sales.credits import views as credits
from costing.sell.sales.offers import views as offers
from costing.sell.sales.terms import views as terms

urlpatterns: list[URLPattern] = [
    path("recipes/", recipes.RecipeList.as_view(), name="recipes"),
    path("recipes/new/", recipes.RecipeNew.as_view(), name="recipe_new"),
    path("recipe-outlines/", outlines.listed, name="recipe_outlines"),
    path("recipes/<code:code>/", recipes.recipe, name="recipe"),
    path("recipes/<code:code>/new/", recipes.RecipeVersionNew.as_view(), name="recipe_version_new"),
    path("recipes/<code:code>/bath/", baths.recipe_bath, name="recipe_bath"),
    path("batches/", batches.BatchList.as_view(), name="batches"),
    path("batches/new/", batches.BatchNew.as_view(), name="batch_new"),
    path("batches/<code:number>/", batches.batch, name="batch"),
    path("batches/<code:number>/edit/", batches.BatchEdit.as_view(), name="batch_edit"),
    path("batches/<code:number>/cancel/", batches.BatchCancel.as_view(), name="batch_cancel"),
    path("batches/<code:number>/join/", stays.BatchJoin.as_view(), name="batch_join"),
    path("batches/<code:number>/leave/<code:tag>/", stays.BatchLeave.as_view(), name="batch_leave"),
    path("batches/<code:number>/never/<code:tag>/", stays.StayStrike.as_view(), name="stay_strike"),
    path("batches/<code:number>/put-in-work/", pours.AddToBatch.as_view(), name="put_in_work"),
    path("batches/<code:number>/variance/", variance.variances, name="variances"),
    path("batches/<code:number>/steps/", steps.steps, name="steps"),
    path("batches/<code:number>/steps/<int:step>/log/", steps.StepLog.as_view(), name="step_log"),
    path("batches/<code:number>/lines/<int:line>/add/", pours.AdditionAdd.as_view(), name="addition_add"),
    path("batches/<code:number>/lines/<int:line>/skip/", additions.AdditionSkip.as_view(), name="addition_skip"),
    path("skipped/<int:pk>/reverse/", additions.SkipReversal.as_view(), name="skip_reverse"),
    path("marks/<int:pk>/undo/", steps.MarkUndo.as_view(), name="mark_undo"),
    path("marks/<int:pk>/take-back/", steps.MarkReversal.as_view(), name="mark_reverse"),
    path("plan/", plans.plan, name="plan"),
    path("what-if/", what_if.what_if_page, name="what_if"),
    path("uses/<int:pk>/take-back/", issues.IssueReversal.as_view(), name="use_reverse"),
    path("uses/<int:pk>/correct/", issues.IssueCorrection.as_view(), name="use_correct"),
    path("uses/<int:pk>/undo/", issues.IssueUndo.as_view(), name="use_undo"),
    path("labour/", labour.LabourList.as_view(), name="labour"),
    path("labour/new/", labour.LabourNew.as_view(), name="labour_new"),
    path("labour/<int:pk>/frames/", lacings.LineFrames.as_view(), name="line_frames"),
    path("lacings/<int:pk>/off/", lacings.TakeOff.as_view(), name="lacing_off"),
    path("frames/", frames.FrameList.as_view(), name="frames"),
    path("frames/new/", frames.FrameNew.as_view(), name="frame_new"),
    path("frames/<code:number>/", frames.frame, name="frame"),
    path("frames/<code:number>/edit/", frames.FrameEdit.as_view(), name="frame_edit"),
    path("frames/<code:number>/repair/", frames.FrameRepair.as_view(), name="frame_repair"),
    path("frames/<code:number>/broken/", frames.FrameBreak.as_view(), name="frame_break"),
    path("frames/<code:number>/whole/", frames.FrameMend.as_view(), name="frame_mend"),
    path("repairs/<int:pk>/take-back/", frames.RepairReversal.as_view(), name="repair_reverse"),
    path("labour/<int:pk>/take-back/", labour.LabourReversal.as_view(), name="labour_reverse"),
    path("sittings/", sessions.SessionStart.as_view(), name="sessions"),
    path("sittings/start/", sessions.SessionStart.as_view(), name="session_start"),
    path("sittings/stop/", sessions.SessionStop.as_view(), name="session_stop"),
    path("sittings/drop/", sessions.SessionDrop.as_view(), name="session_drop"),
    path("sittings/<int:pk>/undo/", sessions.undo, name="session_undo"),
    path("batches/<code:number>/read/", readings.ReadingNewBatch.as_view(), name="reading_new_batch"),
    path("batches/<code:number>/weigh/", readings.BatchWeigh.as_view(), name="batch_weigh"),
    path("skins/<code:tag>/read/", readings.ReadingNewSkin.as_view(), name="reading_new_skin"),
    path("readings/<int:pk>/take-back/", readings.ReadingReversal.as_view(), name="reading_reverse"),
    path("photos/<str:name>", readings.photo, name="photo"),
    path("skins/<code:tag>/", skins.skin, name="skin"),
    path("skins/<code:tag>/area/", areas.AreaPhoto.as_view(), name="skin_area"),
    path("skins/<code:tag>/area/<str:name>/", areas.AreaTap.as_view(), name="skin_area_tap"),
    path("areas/<int:pk>/", areas.area, name="photo_area"),
    path("areas/<int:pk>/take-back/", areas.AreaReversal.as_view(), name="photo_area_reverse"),
    path("skins/<code:tag>/use/", issues.IssueToSkins.as_view(), name="use_on_skins"),
    path("skins/<code:tag>/lose/", losses.SkinLose.as_view(), name="skin_lose"),
    path("skins/<code:tag>/loss/take-back/", losses.LossReversal.as_view(), name="loss_reverse"),
    path("skins/<code:tag>/loss/spread/", losses.LossReallocation.as_view(spread=True), name="loss_spread"),
    path("skins/<code:tag>/loss/write-off/", losses.LossReallocation.as_view(spread=False), name="loss_write_off"),
    path("books/losses/", losses_views.overview, name="losses"),
    path("books/let-go/<int:number>/", disposals.of_year, name="let_go"),
    path("articles/", articles.ArticleList.as_view(), name="articles"),
    path("articles/finish/", finishing.ArticleFinish.as_view(), name="article_finish"),
    path("articles/<code:number>/", articles.article, name="article"),
    path("articles/<code:number>/more-work/", finishing.MoreWork.as_view(), name="article_work"),
    path("articles/<code:number>/price/", articles.ArticlePrice.as_view(), name="article_price"),
    path("sales/", sales.SaleList.as_view(), name="sales"),
    path("sales/new/", sales.SaleNew.as_view(), name="sale_new"),
    path("prices/meaning/", prices.meaning, name="price_meaning"),
    path("sales/earned/", offers.earned, name="sale_earned"),
    path("sales/owed/", payments.owed, name="owed"),
    path("sales/<code:number>/", sales.sale, name="sale"),
    path("sales/<code:number>/credit/", credits.SaleCredit.as_view(), name="sale_credit"),
    path("sales/<code:number>/remind/", reminders.SaleRemind.as_view(), name="sale_remind"),
    path("sales/<code:number>/write-off/", write_offs.SaleWriteOff.as_view(), name="sale_write_off"),
    path("sales/<code:number>/barter/", barter.SaleBarter.as_view(), name="sale_barter"),
    path("reminders/<int:pk>/reverse/", reminders.ReminderReversal.as_view(), name="reminder_reverse"),
    path("write-offs/<int:pk>/reverse/", write_offs.WriteOffReversal.as_view(), name="write_off_reverse"),
    path("customers/<int:pk>/statement/", statements.statement, name="statement"),
    path("payments/", payments.PaymentList.as_view(), name="payments"),
    path("payments/new/", payments.PaymentNew.as_view(), name="payment_new"),
    path("payments/back/", payments.PaymentBack.as_view(), name="payment_back"),
    path("payments/<int:pk>/take-back/", payments.PaymentReversal.as_view(), name="payment_reverse"),
    path("expenses/", expenses.ExpenseList.as_view(), name="expenses"),
    path("expenses/new/", expenses.ExpenseNew.as_view(), name="expense_new"),
    path("expenses/<int:pk>/bill/", expenses.expense_bill, name="expense_bill"),
    path("expenses/<int:pk>/bill/new/", expenses.ExpenseBill.as_view(), name="expense_bill_new"),
    path("expenses/<int:pk>/take-back/", expenses.ExpenseReversal.as_view(), name="expense_reverse"),
    path("owing/", bills.payables, name="payables"),
    path("owing/pay/", bills.BillPay.as_view(), name="bill_pay"),
    path("owing/<int:pk>/reverse/", bills.BillPaymentReversal.as_view(), name="bill_payment_reverse"),
    path("accounts/opening/", accounts.OpeningSet.as_view(), name="account_opening"),
    path("accounts/move/", accounts.TransferNew.as_view(), name="transfer_new"),
    path("accounts/<int:pk>/reverse/", accounts.TransferReversal.as_view(), name="transfer_reverse"),
    path("setup/costs/", headings.cost_kinds, name="cost_kinds"),
    path("setup/costs/form/", headings.FormChoose.as_view(), name="tax_form"),
    path("setup/costs/headings/new/", headings.HeadingNew.as_view(), name="cost_heading_new"),
    path("setup/costs/headings/<int:position>/", headings.HeadingEdit.as_view(), name="cost_heading"),
    path("setup/costs/headings/<int:position>/delete/", headings.HeadingDrop.as_view(), name="cost_heading_drop"),
    path("setup/costs/kinds/new/", headings.KindNew.as_view(), name="cost_kind_new"),
    path("setup/costs/kinds/<code:code>/", headings.KindEdit.as_view(), name="cost_kind"),
    path("hours/", expenses.HoursList.as_view(), name="hours"),
    path("hours/new/", expenses.HoursNew.as_view(), name="hours_new"),
    path("hours/<int:pk>/take-back/", expenses.HoursReversal.as_view(), name="hours_reverse"),
    path("fairs/", fairs.FairList.as_view(), name="fairs"),
    path("fairs/new/", fairs.FairNew.as_view(), name="fair_new"),
    path("fairs/<int:pk>/", fairs.fair, name="fair"),
    path("fairs/<int:pk>/pack/", fairs.FairPack.as_view(), name="fair_pack"),
    path("fairs/<int:pk>/sell/", fairs.FairSell.as_view(), name="fair_sell"),
    path("fairs/<int:pk>/close/", fairs.FairClose.as_view(), name="fair_close"),
    path("places/count/", stocktake.places, name="tally"),
    path("places/<int:pk>/count/", stocktake.PlaceStocktake.as_view(), name="tally_place"),
    path("places/unsaid/count/", stocktake.PlaceStocktake.as_view(), name="tally_unsaid"),
    path("places/<int:pk>/held/", galleries.gallery, name="gallery"),
    path("setup/rates/", rates.RatesPage.as_view(), name="rates"),
    path("setup/channels/", channels.channel_list, name="channels"),
    path("setup/channels/new/", channels.ChannelNew.as_view(), name="channel_new"),
    path("setup/channels/<int:pk>/", channels.ChannelEdit.as_view(), name="channel_edit"),
    path("customers/", customers.CustomerList.as_view(), name="customers"),
    path("customers/new/", customers.CustomerNew.as_view(), name="customer_new"),
    path("customers/<int:pk>/", customers.customer, name="customer"),
    path("customers/<int:pk>/edit/", customers.CustomerEdit.as_view(), name="customer_edit"),
    path("customers/<int:pk>/forget/", customers.CustomerForget.as_view(), name="customer_forget"),
    path("jobs/", jobs.JobList.as_view(), name="jobs"),
    path("jobs/new/", intake.JobNew.as_view(), name="job_new"),
    path("jobs/<code:number>/", jobs.job, name="job"),
    path("jobs/<code:number>/edit/", jobs.JobEdit.as_view(), name="job_edit"),
    path("jobs/<code:number>/ready/", jobs.JobReady.as_view(), name="job_ready"),
    path("jobs/<code:number>/give-up/", cancellations.JobCancel.as_view(), name="job_give_up"),
    path("jobs/<code:number>/give-up/take-back/", cancellations.JobReopen.as_view(), name="job_goes_on"),
    path("setup/terms/", terms.TermsPage.as_view(), name="setup_terms"),
    path("setup/series/", terms.SeriesPage.as_view(), name="setup_series"),
]
