"""All addresses of the site. Each app has its own part; the desk's pages stand at the top."""

from django.urls import include, path

from society.fixtures.queries import present_rules

urlpatterns = [
    path("", include("society.desk.urls")),
    path("", include("society.members.urls")),
    path("courses/", include("society.courses.urls")),
    # What a season asks for is known above the handicaps, so their page is given the question.
    path("handicaps/", include("society.handicaps.urls"), {"present_rules": present_rules}),
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
