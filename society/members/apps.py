from django.apps import AppConfig


class MembersConfig(AppConfig):
    name = "society.members"
    label = "members"

    def ready(self) -> None:
        from society.members import queries  # noqa: PLC0415 - after the models
        from society.web.access import Switched  # noqa: PLC0415 - after the models
        from society.web.middleware import TimeZone  # noqa: PLC0415 - after the models

        TimeZone.ways_of = staticmethod(queries.society_ways)
        Switched.on = staticmethod(queries.public_pages)
