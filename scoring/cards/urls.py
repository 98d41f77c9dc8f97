"""Addresses of cards."""

from django.urls import path

from scoring.cards.views import guests, office, signing, writing

app_name = "cards"
urlpatterns = [
    path("", writing.mine, name="mine"),
    path("guest/<slug:secret>/", guests.open_card, name="guest"),
    path("fixture/<slug:fixture_id>/", office.in_out, name="in_out"),
    path("fixture/<slug:fixture_id>/remind/", office.remind, name="remind"),
    path("fixture/<slug:fixture_id>/type/", office.type_cards, name="type"),
    path("<slug:public_id>/", writing.card, name="show"),
    path("<slug:public_id>/send/", writing.submit, name="submit"),
    path("<slug:public_id>/link/", guests.hand_link, name="hand_link"),
    path("<slug:public_id>/marker/", writing.marker, name="marker"),
    path("<slug:public_id>/compare/", signing.compare, name="compare"),
    path("<slug:public_id>/settle/", signing.settle, name="settle"),
    path("<slug:public_id>/certify/", signing.certify, name="certify"),
    path("<slug:public_id>/answer/", signing.answer, name="answer"),
    path("<slug:public_id>/ask/", office.ask, name="ask"),
    path("<slug:public_id>/check/", office.check, name="check"),
    path("<slug:public_id>/held/", office.decide, name="decide"),
    path("<slug:public_id>/signatures/", office.signatures, name="signatures"),
    path("<slug:public_id>/word/", office.word, name="word"),
]
