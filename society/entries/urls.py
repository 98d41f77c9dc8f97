"""Addresses of entries: entering and withdrawing, and the officers' list."""

from django.urls import path

from society.entries import views

app_name = "entries"
urlpatterns = [
    path("fixtures/<slug:public_id>/enter/", views.enter, name="enter"),
    path("fixtures/<slug:public_id>/withdraw/", views.withdraw, name="withdraw"),
    path("fixtures/<slug:public_id>/entries/", views.manage, name="manage"),
    path("fixtures/<slug:public_id>/entries/add/", views.add, name="add"),
    path("fixtures/<slug:public_id>/entries/guest/", views.guest, name="guest"),
    path("fixtures/<slug:public_id>/entries/played/", views.played, name="played"),
    path("fixtures/<slug:public_id>/entries/close/", views.close, name="close"),
    path("fixtures/<slug:public_id>/entries/reopen/", views.reopen, name="reopen"),
    path("fixtures/<slug:public_id>/entries/<slug:entry_id>/out/", views.out, name="out"),
]
