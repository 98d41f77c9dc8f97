"""Addresses of courses."""

from django.urls import path

from society.courses import views

app_name = "courses"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("import/", views.import_file, name="import"),
    path("import/keep/", views.import_keep, name="import_keep"),
    path("<slug:public_id>/", views.show_course, name="show"),
    path("<slug:public_id>/change/", views.change, name="change"),
    path("<slug:public_id>/retire/", views.retire, name="retire"),
]
