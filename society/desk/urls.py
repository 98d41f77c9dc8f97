"""Addresses of desk."""

from django.urls import path

from society.desk.views import (
    calendar,
    draw,
    final,
    fixture,
    handicaps,
    importing,
    letters,
    moving,
    player,
    players,
    print,
    season,
    steps,
)

app_name = "desk"
urlpatterns = [
    path("", season.season, name="season"),
    path("season/<slug:public_id>/", season.season_of, name="season_of"),
    path("season/<slug:public_id>/calendar/", calendar.calendar, name="calendar"),
    path("season/<slug:public_id>/calendar/keep/", calendar.calendar_keep, name="calendar_keep"),
    path("season/<slug:public_id>/calendar/copy/", calendar.calendar_copy, name="calendar_copy"),
    path("fixtures/<slug:public_id>/", fixture.fixture, name="fixture"),
    path("fixtures/<slug:public_id>/change/", fixture.fixture_change, name="fixture_change"),
    path("fixtures/<slug:public_id>/copy/", calendar.fixture_copy, name="fixture_copy"),
    path("fixtures/<slug:public_id>/move/", moving.fixture_move, name="fixture_move"),
    path("fixtures/<slug:public_id>/final/", final.make_final, name="make_final"),
    path("fixtures/<slug:public_id>/handicaps/", handicaps.handicaps, name="handicaps"),
    path(
        "fixtures/<slug:public_id>/handicaps/take/",
        handicaps.handicaps_take,
        name="handicaps_take",
    ),
    path(
        "fixtures/<slug:public_id>/handicaps/reference-par/",
        handicaps.reference_par,
        name="reference_par",
    ),
    path(
        "fixtures/<slug:public_id>/handicaps/<slug:entry_id>/give/",
        handicaps.handicap_give,
        name="handicap_give",
    ),
    path(
        "fixtures/<slug:public_id>/handicaps/<slug:entry_id>/tee/",
        handicaps.handicap_tee,
        name="handicap_tee",
    ),
    path(
        "fixtures/<slug:public_id>/handicaps/<slug:entry_id>/correct/",
        handicaps.handicap_correct,
        name="handicap_correct",
    ),
    path("fixtures/<slug:public_id>/draw/", draw.draw, name="draw"),
    path("fixtures/<slug:public_id>/draw/make/", draw.draw_make, name="draw_make"),
    path("fixtures/<slug:public_id>/draw/swap/", draw.draw_swap, name="draw_swap"),
    path("fixtures/<slug:public_id>/draw/move/<slug:entry_id>/", draw.draw_move, name="draw_move"),
    path("fixtures/<slug:public_id>/draw/undo/<int:number>/", draw.draw_undo, name="draw_undo"),
    path("fixtures/<slug:public_id>/draw/publish/", draw.draw_publish, name="draw_publish"),
    path("fixtures/<slug:public_id>/draw/withdraw/", draw.draw_withdraw, name="draw_withdraw"),
    path("fixtures/<slug:public_id>/start-sheet.pdf", print.start_sheet, name="start_sheet"),
    path("fixtures/<slug:public_id>/cards.pdf", print.scorecards_pdf, name="scorecards"),
    path("fixtures/<slug:public_id>/steps/", steps.steps, name="steps"),
    path("fixtures/<slug:public_id>/log/", steps.log, name="log"),
    path("fixtures/<slug:public_id>/letters/", letters.letters, name="letters"),
    path("organise/", steps.organise, name="organise"),
    path("players/", players.players, name="players"),
    path("players/new/", players.player_new, name="player_new"),
    path("players/import/", importing.players_import, name="players_import"),
    path("players/import/keep/", importing.players_import_keep, name="players_import_keep"),
    path("players/players.csv", importing.players_csv_file, name="players_csv"),
    path("players/<slug:public_id>/", player.player, name="player"),
    path("players/<slug:public_id>/change/", players.player_change, name="player_change"),
]
