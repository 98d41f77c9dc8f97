from django.apps import AppConfig
from django.db.models.signals import post_migrate


def _make_guards(sender: object, using: str = "default", **kwargs: object) -> None:
    from society.audit import guards  # noqa: PLC0415 - models are not ready when this is read

    guards.make(using)


class AuditConfig(AppConfig):
    name = "society.audit"
    label = "audit"

    def ready(self) -> None:
        # The house's one signal: SQLite loses triggers when a table is remade.
        # Connected for every app, so that it also follows a migrate of one app alone.
        post_migrate.connect(_make_guards, dispatch_uid="audit-guards")
