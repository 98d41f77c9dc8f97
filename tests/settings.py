"""Test settings: a quick hasher, no files of our own; DATABASE_URL moves it to PostgreSQL."""

import os
import tempfile

os.environ.setdefault("DATA_DIR", tempfile.mkdtemp(prefix="society-test-"))
os.environ.setdefault("SECRET_KEY", "only for tests: nothing is kept under this key")
os.environ.setdefault("DATABASE_URL", f"sqlite:///{os.environ['DATA_DIR']}/tests.sqlite3")

os.makedirs(f"{os.environ['DATA_DIR']}/static", exist_ok=True)  # else whitenoise warns

from society.settings import *  # noqa: E402, F403 - all settings, a few replaced below

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
ALLOWED_HOSTS = ["*"]
PAPERS_APART = False  # a test reads the file at once; tests of the other way turn it on
