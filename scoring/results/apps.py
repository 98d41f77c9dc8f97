from django.apps import AppConfig


class ResultsConfig(AppConfig):
    name = "scoring.results"
    label = "results"
