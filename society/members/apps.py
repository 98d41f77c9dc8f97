from django.apps import AppConfig


class MembersConfig(AppConfig):
    name = "society.members"
    label = "members"

    def ready(self) -> None:
        from society.members.queries import society_zone  # noqa: PLC0415 - after the models
        from society.web.middleware import TimeZone  # noqa: PLC0415 - after the models

        TimeZone.zone_of = staticmethod(society_zone)
