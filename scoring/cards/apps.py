from django.apps import AppConfig


class CardsConfig(AppConfig):
    name = "scoring.cards"
    label = "cards"

    def ready(self) -> None:
        """Tell the door how a guest's link is read."""
        from scoring.cards.queries import guest_by  # noqa: PLC0415 - after the models
        from society.members.middleware import Acting  # noqa: PLC0415 - after the models

        Acting.guest_by = staticmethod(guest_by)
