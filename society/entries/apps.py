from django.apps import AppConfig


class EntriesConfig(AppConfig):
    name = "society.entries"
    label = "entries"
