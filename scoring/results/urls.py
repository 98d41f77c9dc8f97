"""Addresses of results."""

from django.urls import path

from scoring.results import views

app_name = "results"
urlpatterns = [
    path("<str:public_id>/", views.show, name="show"),
    path("<str:public_id>/cards/<str:key>/", views.card, name="card"),
    path("<str:public_id>/spread/", views.spread, name="spread"),
    path("<str:public_id>/result.csv", views.as_list, {"kind": "csv"}, name="csv"),
    path("<str:public_id>/result.xlsx", views.as_list, {"kind": "xlsx"}, name="xlsx"),
    path("<str:public_id>/result.pdf", views.as_pdf, name="pdf"),
    path("<str:public_id>/rulings/", views.rulings, name="rulings"),
    path("<str:public_id>/rulings/order/", views.order, name="order"),
    path("<str:public_id>/rulings/<str:ruling>/withdraw/", views.withdraw, name="withdraw"),
]
