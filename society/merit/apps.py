from django.apps import AppConfig


class MeritConfig(AppConfig):
    name = "society.merit"
    label = "merit"
