"""Addresses of desk."""

from django.urls import path

from society.desk.views import final, fixture, player, players, season, steps

app_name = "desk"
urlpatterns = [
    path("", season.season, name="season"),
    path("season/<slug:public_id>/", season.season_of, name="season_of"),
    path("fixtures/<slug:public_id>/", fixture.fixture, name="fixture"),
    path("fixtures/<slug:public_id>/change/", fixture.fixture_change, name="fixture_change"),
    path("fixtures/<slug:public_id>/final/", final.make_final, name="make_final"),
    path("fixtures/<slug:public_id>/steps/", steps.steps, name="steps"),
    path("fixtures/<slug:public_id>/log/", steps.log, name="log"),
    path("organise/", steps.organise, name="organise"),
    path("players/", players.players, name="players"),
    path("players/new/", players.player_new, name="player_new"),
    path("players/<slug:public_id>/", player.player, name="player"),
    path("players/<slug:public_id>/change/", players.player_change, name="player_change"),
]
