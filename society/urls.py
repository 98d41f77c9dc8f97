"""All addresses of the site. Each app has its own part; the desk's pages stand at the top."""

from django.urls import include, path

urlpatterns = [
    path("", include("society.desk.urls")),
    path("", include("society.members.urls")),
    path("courses/", include("society.courses.urls")),
    path("handicaps/", include("society.handicaps.urls")),
    path("", include("society.fixtures.urls")),
    path("", include("society.entries.urls")),
    path("cards/", include("scoring.cards.urls")),
    path("results/", include("scoring.results.urls")),
    path("merit/", include("society.merit.urls")),
]

handler400 = "society.web.errors.bad_request"
handler403 = "society.web.errors.forbidden"
handler404 = "society.web.errors.not_found"
handler500 = "society.web.errors.server_error"
