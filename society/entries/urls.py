"""Addresses of entries: entering and withdrawing, and the officers' list."""

from django.urls import path

from society.entries.views import day, office, own

app_name = "entries"
urlpatterns = [
    path("fixtures/<slug:public_id>/enter/", own.enter, name="enter"),
    path("fixtures/<slug:public_id>/enter/ask/", own.ask, name="ask"),
    path("fixtures/<slug:public_id>/wishes/", own.wishes, name="wishes"),
    path("fixtures/<slug:public_id>/offer/", own.offer, name="offer"),
    path("fixtures/<slug:public_id>/withdraw/", own.withdraw, name="withdraw"),
    path("fixtures/<slug:public_id>/entries/", office.manage, name="manage"),
    path("fixtures/<slug:public_id>/entries/add/", office.add, name="add"),
    path("fixtures/<slug:public_id>/entries/guest/", office.guest, name="guest"),
    path("fixtures/<slug:public_id>/entries/walk-up/", day.walk_up, name="walk_up"),
    path("fixtures/<slug:public_id>/entries/extras/", day.extras, name="extras"),
    path("fixtures/<slug:public_id>/entries/played/", office.played, name="played"),
    path("fixtures/<slug:public_id>/entries/close/", office.close, name="close"),
    path("fixtures/<slug:public_id>/entries/reopen/", office.reopen, name="reopen"),
    path("fixtures/<slug:public_id>/entries/<slug:entry_id>/out/", office.out, name="out"),
    path("seasons/<slug:public_id>/withdrawals/", day.record, name="record"),
]
