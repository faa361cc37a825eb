"""The street plan: each floor brings its own paths; the roof adds sign-in, Today, Books, Setup and the papers."""

from django.contrib.auth.decorators import login_not_required
from django.urls import include, path, re_path

import inventory.web.paths  # noqa: F401
from workshop.calendar import views as calendar
from workshop.first_steps import views as first_steps
from workshop.help import views as helping
from workshop.later import Later
from workshop.look import views as look
from workshop.phone import views as phone
from workshop.search import views as searching
from workshop.setup import door, views as setup
from workshop.setup.bring import views as bringing
from workshop.setup.label_sheets import views as label_sheets
from workshop.setup.moving import views as moving
from workshop.setup.passkeys import views as passkeys
from workshop.setup.words import views as words
from workshop.today import views as today
from workshop.transfer.copies import views as copies

handler500 = "workshop.faults.uncaught"

# What draws papers loads much, and no page of the shed needs it.
papers, einvoices = Later("workshop.documents.views"), Later("workshop.documents.einvoice.views")
prints = Later("workshop.documents.prints.views")
reports, cashbook = Later("workshop.reports.views"), Later("workshop.reports.cashbook")

urlpatterns = [
    path("", today.today, name="today"),
    path("first-steps/over/", first_steps.put_away, name="first_steps_over"),
    path("sign-in/", door.SignIn.as_view(), name="sign_in"),
    path("sign-in/passkey/", login_not_required(passkeys.SignInByPasskey.as_view()), name="passkey_sign_in"),
    path("sign-in/passkey/options/", login_not_required(passkeys.options), name="passkey_options"),
    path("sign-in/phone/", login_not_required(door.ByCode.as_view()), name="phone_link"),
    path("sign-in/link/", login_not_required(door.ByLink.as_view()), name="sign_in_link"),
    path("sign-out/", door.SignOut.as_view(), name="sign_out"),
    path("search/", searching.search, name="search"),
    path("help/", helping.help_page, name="help"),
    path("look/", look.look, name="look"),
    path("light/", look.set_light, name="light"),
    path("books/", reports.books, name="books"),
    path("books/worth/", reports.worth, name="worth"),
    path("books/check/", reports.check, name="check_books"),
    path("books/year/<int:number>/", reports.use_of_year, name="year"),
    path("books/year/<int:number>.csv", reports.use_of_year_csv, name="year_file"),
    path("books/results/<int:number>/", reports.results, name="results"),
    re_path(r"^books/results/(?P<number>\d{1,4})\.(?P<ending>xlsx|pdf)$", reports.results_file, name="results_file"),
    path("books/results/<int:number>/<slug:table>/", reports.results_table, name="results_table"),
    path("books/results/<int:number>/<slug:table>.csv", reports.results_csv, name="results_csv"),
    path("books/cash/", cashbook.now, name="cash_book_now"),
    path("books/cash/<int:number>/", cashbook.cash_book, name="cash_book"),
    re_path(
        r"^books/cash/(?P<number>\d{1,4})/(?P<table>months|entries|all)\.(?P<ending>csv|xlsx|pdf)$",
        cashbook.cash_book_file,
        name="cash_book_file",
    ),
    path("books/tax/", reports.tax, name="tax"),
    re_path(
        r"^books/tax/(?P<first>\d{4}-\d{2}-\d{2})\.\.(?P<last>\d{4}-\d{2}-\d{2})\.(?P<ending>csv|xlsx|pdf)$",
        reports.tax_file,
        name="tax_file",
    ),
    path("books/close/", setup.CloseBooks.as_view(), name="close_books"),
    re_path(r"^books/(?P<month>\d{4}-\d{2})\.(?P<ending>csv|pdf)$", reports.month_file, name="month_file"),
    path("setup/", setup.setup, name="setup"),
    path("setup/workshop/", setup.Workshop.as_view(), name="setup_workshop"),
    path("setup/where/", setup.WhereYouWork.as_view(), name="setup_where"),
    path("setup/words/", words.languages, name="words"),
    path("setup/words/<slug:language>/", words.phrases, name="words_of"),
    path("setup/words/<slug:language>/checked/", words.checked, name="words_checked"),
    path("setup/words/<slug:language>/<str:phrase>/", words.PhraseChange.as_view(), name="phrase"),
    path("setup/label-sheets/", label_sheets.label_sheets, name="label_sheets"),
    path("setup/label-sheets/new/", label_sheets.LabelSheetNew.as_view(), name="label_sheet_new"),
    path("setup/label-sheets/<int:pk>/", label_sheets.LabelSheetEdit.as_view(), name="label_sheet"),
    path("setup/label-sheets/<int:pk>/delete/", label_sheets.LabelSheetDrop.as_view(), name="label_sheet_drop"),
    path(
        "setup/label-sheets/<int:pk>/calibration/",
        label_sheets.LabelSheetCalibrate.as_view(),
        name="label_sheet_calibrate",
    ),
    path("setup/label-sheets/<int:pk>/calibration.pdf", label_sheets.calibration_page, name="label_sheet_pdf"),
    path("setup/copies/", copies.copies, name="copies"),
    path("setup/copies/new/", copies.make, name="copy_new"),
    path("setup/copies/elsewhere/", copies.elsewhere, name="copy_elsewhere"),
    path("setup/copies/<slug:stamp>.zip", copies.download, name="copy_file"),
    path("setup/zone/", setup.guess_zone, name="guess_zone"),
    path("setup/people/new/", setup.PersonNew.as_view(), name="person_new"),
    path("setup/people/<int:pk>/role/", setup.PersonRole.as_view(), name="person_role"),
    path("setup/people/<int:pk>/out/", setup.PersonShutOut.as_view(), name="person_shut_out"),
    path("setup/people/<int:pk>/link/", setup.PersonLink.as_view(), name="person_link"),
    path("setup/people/<int:pk>/passkeys/", setup.PersonPasskeys.as_view(), name="person_passkeys"),
    path("setup/phone/", phone.Phone.as_view(), name="phone"),
    path("setup/name/", setup.OwnName.as_view(), name="own_name"),
    path("setup/password/", door.OwnPassword.as_view(), name="own_password"),
    path("setup/passkeys/", passkeys.OwnPasskeys.as_view(), name="own_passkeys"),
    path("setup/passkeys/new/", passkeys.PasskeyNew.as_view(), name="passkey_new"),
    path("setup/passkeys/<int:pk>/remove/", passkeys.PasskeyRemove.as_view(), name="passkey_remove"),
    path("setup/moving-in/", moving.moving_in, name="moving_in"),
    path("setup/moving-in/piece/", moving.PieceMoved.as_view(), name="moving_piece"),
    path("setup/moving-in/skin/", moving.SkinMoved.as_view(), name="moving_skin"),
    path("setup/moving-in/invoice/", moving.DebtorMoved.as_view(), name="moving_debtor"),
    path("setup/moving-in/deposit/", moving.DepositMoved.as_view(), name="moving_deposit"),
    path("setup/moving-in/numbers/", moving.NumbersMoved.as_view(), name="moving_numbers"),
    path("setup/bring/", bringing.SendIn.as_view(), name="bring"),
    path("setup/bring/<slug:key>/", bringing.answers, name="bring_answers"),
    path("setup/calendar/", calendar.CalendarLinks.as_view(), name="calendar_links"),
    path("setup/calendar/<int:pk>/end/", calendar.CalendarEnd.as_view(), name="calendar_end"),
    path("calendar/<slug:token>.ics", calendar.feed, name="calendar"),
    path("articles/<code:number>/care.pdf", papers.label, {"which": "care"}, name="label_care"),
    path("articles/<code:number>/care-card.pdf", papers.label, {"which": "care-card"}, name="label_care_card"),
    path("articles/<code:number>/hang-tag.pdf", papers.label, {"which": "hang-tag"}, name="label_hang_tag"),
    path("articles/<code:number>/origin.pdf", papers.origin_pack, name="origin_pdf"),
    path("articles/<code:number>/ticket.pdf", papers.label, {"which": "ticket"}, name="label_ticket"),
    path("skins/<code:tag>/tag.pdf", papers.label, {"which": "tag"}, name="skin_tag"),
    path("batches/<code:number>/bath.pdf", papers.label, {"which": "bath"}, name="bath_label"),
    path("batches/<code:number>/frame.pdf", papers.label, {"which": "frame"}, name="frame_tag"),
    path("frames/<code:number>/label.pdf", papers.label, {"which": "number"}, name="frame_label"),
    path("batches/<code:number>/card.pdf", papers.batch_card, name="batch_card"),
    path("shelf/<code:code>/jar.pdf", papers.label, {"which": "jar"}, name="jar_label"),
    path("places/<int:pk>/shelf.pdf", papers.shelf_label, name="shelf_label"),
    path("print/<slug:kind>/", prints.print_labels, name="print_labels"),
    path("print/<slug:kind>/labels.pdf", prints.labels_pdf, name="labels_pdf"),
    path("sick-day.pdf", papers.stand_in_sheet, name="sick_day"),
    path("grid-sheet.pdf", papers.grid_sheet, name="grid_sheet"),
    path("sales/<code:number>/paper.pdf", papers.of_record, {"which": "sale"}, name="sale_pdf"),
    path("sales/<code:number>/e-invoice/", einvoices.einvoice, name="einvoice"),
    path("sales/<code:number>/e-invoice/<slug:syntax>/", einvoices.download, name="einvoice_file"),
    path("sales/<code:number>/packing.pdf", papers.of_record, {"which": "packing"}, name="packing_pdf"),
    path("payments/<code:number>/receipt.pdf", papers.of_record, {"which": "payment"}, name="payment_pdf"),
    path("reminders/<int:pk>/letter.pdf", papers.of_record, {"which": "reminder"}, name="reminder_pdf"),
    path("customers/<int:pk>/statement.pdf", papers.statement, name="statement_pdf"),
    path("customers/<int:pk>/statement.csv", papers.statement_csv, name="statement_csv"),
    path("fairs/<int:pk>/day.pdf", papers.of_record, {"which": "fair"}, name="fair_pdf"),
    path("places/<int:pk>/held.pdf", papers.gallery, name="gallery_pdf"),
    path("jobs/<code:number>/card.pdf", papers.of_record, {"which": "job"}, name="job_pdf"),
    path("books/stock.pdf", papers.stock_sheet, name="stock_sheet_pdf"),
    path("shelf/to-order.pdf", papers.shopping_list, name="to_order_pdf"),
    path("shelf/to-order.csv", papers.shopping_csv, name="to_order_csv"),
    path("shelf/count.pdf", papers.stocktake_sheet, name="count_sheet_pdf"),
    path("", include("inventory.urls")),
    path("", include("costing.urls")),
]
