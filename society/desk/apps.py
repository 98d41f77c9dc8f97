from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "society.desk"
    label = "desk"
