"""The program as a web server sees it; refuses to serve without the guard triggers."""

import os

from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application
from django.db import connection

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "society.settings")
application = get_wsgi_application()

from society.audit import guards  # noqa: E402 - the apps must be ready first

if guards.missing():
    raise ImproperlyConfigured("Guard triggers are missing: run `manage.py migrate` first.")
connection.close()  # each worker opens its own
