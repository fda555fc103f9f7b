"""Addresses of the promises' pages."""

from django.urls import path

from vendor.supporters.views import people, promises

app_name = "supporters"
urlpatterns = [
    path("", promises.index, name="index"),
    path("held/", promises.held, name="held"),
    path("new/", promises.new, name="new"),
    path("<int:number>/", promises.promise, name="promise"),
    path("<int:number>/hold/", promises.keep, name="keep"),
    path("<int:number>/release/", promises.release, name="release"),
    path("<int:number>/move/", promises.move, name="move"),
    path("<int:number>/send/", promises.send, name="send"),
    path("<int:number>/hand-over/", promises.hand_over, name="hand_over"),
    path("<int:number>/take-back/", promises.take_back, name="take_back"),
    path("<int:number>/cancel/", promises.cancel, name="cancel"),
    path("<int:number>/owe-again/", promises.reopen, name="reopen"),
    path("supporters/", people.supporters, name="supporters"),
    path("supporters/new/", people.new_supporter, name="new_supporter"),
    path("supporters/<int:pk>/", people.supporter, name="supporter"),
    path("supporters/<int:pk>/edit/", people.edit_supporter, name="edit_supporter"),
]
