"""Addresses of merit."""

from django.urls import path

from society.merit.views import members, sealing, setting, tables

app_name = "merit"
urlpatterns = [
    path("", tables.index, name="index"),
    path("new/<slug:season>/", setting.new, name="new"),
    path("members/<slug:season>/", members.members, name="members"),
    path("members/<slug:season>/<slug:player>/", members.joined, name="joined"),
    path("<slug:public_id>/", tables.show, name="show"),
    path("<slug:public_id>/table.csv", tables.as_list, {"kind": "csv"}, name="csv"),
    path("<slug:public_id>/table.xlsx", tables.as_list, {"kind": "xlsx"}, name="xlsx"),
    path("<slug:public_id>/table.pdf", tables.as_pdf, name="pdf"),
    path("<slug:public_id>/rules/", setting.rules, name="rules"),
    path("<slug:public_id>/try/", setting.trial, name="try"),
    path("<slug:public_id>/level/", sealing.level, name="level"),
    path("<slug:public_id>/seal/", sealing.seal, name="seal"),
    path("<slug:public_id>/versions/<int:number>/", tables.version, name="version"),
    path("<slug:public_id>/points/<slug:player>/", sealing.give, name="give"),
    path("<slug:public_id>/<slug:player>/", tables.line, name="line"),
]
