"""Addresses of the home page and the owner's pages about the studio."""

from django.urls import path

from vendor.studio import views

app_name = "studio"
urlpatterns = [
    path("", views.home, name="home"),
    path("welcome/", views.first_run, name="first_run"),
    path("studio/", views.settings, name="settings"),
    path("studio/changes/", views.changes, name="changes"),
    path("studio/people/", views.people, name="people"),
    path("studio/people/<int:pk>/password/", views.password, name="password"),
    path("studio/people/<int:pk>/login/", views.let_in, name="let_in"),
    path("studio/backup/", views.download_backup, name="backup"),
]
