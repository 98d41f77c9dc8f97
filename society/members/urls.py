"""Addresses of members: signing in, one's account, invitations, offices."""

from django.urls import path

from society.members import views

app_name = "members"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-in/link/", views.link_ask, name="link_ask"),
    path("sign-in/link/<str:secret>/", views.link, name="link"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("account/", views.account, name="account"),
    path("account/password/", views.password, name="password"),
    path("account/calendar/", views.calendar, name="calendar"),
    path("invitation/<str:secret>/", views.invitation, name="invitation"),
    path("players/<slug:public_id>/invite/", views.invite, name="invite"),
    path("offices/", views.offices, name="offices"),
    path("offices/<slug:public_id>/end/", views.end_office, name="end_office"),
    path("what-we-keep/", views.kept, name="kept"),
]
