"""The program as a web server sees it; refuses to serve without the guard triggers."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "society.settings")
application = get_wsgi_application()
