"""Addresses of the page at the stall."""

from django.urls import path

from vendor.counter import (
    bundle_views,
    cash_views,
    commission_views,
    exchange_views,
    otherwise_views,
    pin_views,
    sale_views,
    sales_views,
    tray_views,
    undoings,
    views,
)

_FORMER = f"{undoings.FORMER_NAME}s"

app_name = "counter"
urlpatterns = [
    path("", views.sell, name="sell"),
    path("cash/", cash_views.cash, name="cash"),
    path("cash/boxes/", cash_views.add_till, name="add_till"),
    path("pin/", pin_views.pin, name="pin"),
    path("pieces/", otherwise_views.pieces, name="pieces"),
    path("bundles/", bundle_views.bundles, name="bundles"),
    path("bundles/<int:pk>/end/", bundle_views.end, name="end_bundle"),
    path("worker.js", views.worker, name="worker"),
    path("nameless/", views.nameless, name="nameless"),
    # /sell/api/: what the page fetches and sends
    path("api/stall", views.stall_sheet, name="stall"),
    path("api/commissions", views.take_commissions, name="take_commissions"),
    path("api/sales", views.take_sales, name="take_sales"),
    path("api/seller", pin_views.seller, name="seller"),
    path("api/totes", views.take_totes, name="take_totes"),
    path("api/became", views.what_became, name="became"),
    path("api/undoings", views.take_undoings, name="take_undoings"),
    path(f"api/{_FORMER}", views.take_undoings, {"kind": _FORMER}, name="take_former_undoings"),
    # /sell/sales/: receipts, and taking back
    path("sales/", sales_views.index, name="sales"),
    path("sales/<int:pk>/", sale_views.sale, name="sale"),
    path("sales/<int:pk>/text", sale_views.as_text, name="sale_text"),
    path("sales/<int:pk>/pdf", sale_views.as_pdf, name="sale_pdf"),
    path("sales/<int:pk>/undo/", sale_views.undo, name="undo"),
    path("sales/<int:pk>/exchange/", exchange_views.exchange, name="exchange"),
    path("sales/<int:pk>/back/", sale_views.take_back, name="take_back"),
    # /sell/commissions/ by the number of the promise, and /sell/deposits/
    path("commissions/<int:number>/", commission_views.commission, name="commission"),
    path("commissions/<int:number>/hand-over/", commission_views.hand_over, name="hand_over"),
    path("commissions/<int:number>/cancel/", commission_views.cancel, name="cancel_commission"),
    path("deposits/<int:pk>/", commission_views.slip, name="slip"),
    path("deposits/<int:pk>/pdf", commission_views.slip_pdf, name="slip_pdf"),
    # /sell/tray/: what waits for the owner
    path("tray/", tray_views.index, name="tray"),
    path("tray/<int:pk>/", tray_views.settle, name="settle"),
    path("tray/<int:pk>/aside/", tray_views.put_aside, name="put_aside"),
]
