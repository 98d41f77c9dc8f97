"""Addresses of handicaps."""

from django.urls import path

from society.handicaps import views

app_name = "handicaps"
urlpatterns = [
    path("<slug:public_id>/new/", views.add, name="add"),
]
