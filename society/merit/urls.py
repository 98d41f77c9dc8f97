"""Addresses of merit."""

from django.urls import path

from society.merit import views

app_name = "merit"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/<slug:season>/", views.new, name="new"),
    path("<slug:public_id>/", views.show, name="show"),
    path("<slug:public_id>/table.csv", views.as_list, {"kind": "csv"}, name="csv"),
    path("<slug:public_id>/table.xlsx", views.as_list, {"kind": "xlsx"}, name="xlsx"),
    path("<slug:public_id>/rules/", views.rules, name="rules"),
    path("<slug:public_id>/<slug:player>/", views.line, name="line"),
]
