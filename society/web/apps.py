from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "society.web"
    label = "web"

    def ready(self) -> None:
        from django.forms import Field  # noqa: PLC0415 - apps must be ready

        from society.web import checks  # noqa: F401, PLC0415 - checks register when imported

        # Said beside a field that has no sentence of its own for being left empty.
        Field.default_error_messages["required"] = "There is no answer here yet."
