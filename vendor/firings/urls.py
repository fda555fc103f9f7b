"""Addresses of the kiln's pages, under fire/."""

from django.urls import path

from vendor.firings import batch_views, lists, unloading_views, views

app_name = "firings"
urlpatterns = [
    path("", lists.index, name="index"),
    path("losses/", lists.losses, name="losses"),
    path("kilns/", views.kilns, name="kilns"),
    path("kilns/new/", views.kiln, name="new_kiln"),
    path("kilns/<int:pk>/", views.kiln, name="kiln"),
    path("batches/", batch_views.on_the_way, name="batches"),
    path("batches/over/", batch_views.on_the_way, {"over": True}, name="batches_over"),
    path("batches/new/", batch_views.new_batch, name="new_batch"),
    path("batches/<int:pk>/", batch_views.batch, name="batch"),
    path("batches/<int:pk>/move-on/", batch_views.move_on, name="move_on"),
    path("batches/<int:pk>/lose/", batch_views.lose, name="lose"),
    path("batches/<int:pk>/take-back/", batch_views.take_back, name="take_back"),
    path("batches/<int:pk>/call-off/", batch_views.call_off_batch, name="call_off_batch"),
    path("new/<slug:kind>/", views.record, name="record"),
    path("<int:pk>/", views.firing, name="firing"),
    path("<int:pk>/change/", views.change, name="change"),
    path("<int:pk>/unload/", unloading_views.unload, name="unload"),
    path("<int:pk>/undo/", unloading_views.undo, name="undo"),
    path("<int:pk>/after/", views.after, name="after"),
    path("<int:pk>/call-off/", views.call_off, name="call_off"),
    path("<int:pk>/take-up/", views.take_up, name="take_up"),
]
