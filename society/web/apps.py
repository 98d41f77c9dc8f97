from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "society.web"
    label = "web"

    def ready(self) -> None:
        from society.web import checks  # noqa: F401, PLC0415 - checks register when imported
