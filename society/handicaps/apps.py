from django.apps import AppConfig


class HandicapsConfig(AppConfig):
    name = "society.handicaps"
    label = "handicaps"
