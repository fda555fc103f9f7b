"""Addresses of closing: counting pots and cash, differences, statements."""

from django.urls import path

from vendor.closing import card_views, cash_views, count_views, difference_views, scan_views, views

app_name = "closing"
urlpatterns = [
    # /close/
    path("", views.index, name="index"),
    # /close/weekends/
    path("weekends/<int:pk>/", views.weekend, name="weekend"),
    path("weekends/<int:pk>/close/", views.close, name="close"),
    path("weekends/<int:pk>/count/", count_views.count, name="count"),
    path(
        "weekends/<int:pk>/count/<int:ware>/<slug:grade>/",
        count_views.count_ware,
        name="count_ware",
    ),
    path("weekends/<int:pk>/count/one-by-one/", scan_views.one_by_one, name="one_by_one"),
    path("weekends/<int:pk>/count/one-by-one/tags/", scan_views.tags, name="tags"),
    path("weekends/<int:pk>/count/one-by-one/scans/", scan_views.take_scans, name="take_scans"),
    path("weekends/<int:pk>/count/passes/<int:number>/end/", scan_views.end_pass, name="end_pass"),
    path("weekends/<int:pk>/count/rest/", count_views.count_rest, name="count_rest"),
    path("weekends/<int:pk>/count/sheet/", count_views.sheet, name="sheet"),
    path("weekends/<int:pk>/count/count-sheet.pdf", count_views.sheet_pdf, name="sheet_pdf"),
    path("weekends/<int:pk>/differences/", difference_views.differences, name="differences"),
    path("weekends/<int:pk>/differences/swap/", difference_views.explain_swap, name="explain_swap"),
    path("weekends/<int:pk>/differences/unrung/", difference_views.sell_unrung, name="sell_unrung"),
    path(
        "weekends/<int:pk>/differences/sold/", difference_views.sell_by_count, name="sell_by_count"
    ),
    path(
        "weekends/<int:pk>/differences/<int:ware>/<slug:grade>/",
        difference_views.explain,
        name="explain",
    ),
    path(
        "weekends/<int:pk>/entries/<int:ware>/<slug:grade>/",
        difference_views.entries,
        name="entries",
    ),
    path("weekends/<int:pk>/cash/", cash_views.cash, name="cash"),
    path("weekends/<int:pk>/cash/why/", cash_views.explain_cash, name="explain_cash"),
    path("weekends/<int:pk>/cash/out/", cash_views.take_out, name="take_out"),
    path("weekends/<int:pk>/cash/before/", cash_views.explain_carried, name="explain_carried"),
    path("weekends/<int:pk>/cards/", card_views.cards, name="cards"),
    path("weekends/<int:pk>/cards/note/", card_views.note, name="card_note"),
    path("weekends/<int:pk>/cards/pair/", card_views.pair, name="card_pair"),
    path("cards/pairs/<int:pk>/apart/", card_views.apart, name="card_apart"),
    path("cards/<int:pk>/", card_views.name_columns, name="card_columns"),
    path("cards/<int:pk>/remove/", card_views.remove, name="card_remove"),
    # /close/statements/
    path("statements/<int:number>/", views.statement, name="statement"),
    path("statements/<int:number>/statement.pdf", views.statement_pdf, name="statement_pdf"),
    path(
        "statements/<int:number>/statement.<slug:kind>/",
        views.statement_file,
        name="statement_file",
    ),
    path("statements/<int:number>/amend/", views.amend, name="amend"),
]
