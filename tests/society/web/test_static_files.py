"""Style sheets and scripts are asked for anew after an upgrade, and kept until then."""

import re

import pytest
from django.test import Client

from society.web.version import code_version


@pytest.mark.django_db
def test_addresses_name_the_running_code_and_are_served(society) -> None:
    page = Client().get("/sign-in/").content.decode()
    found = re.findall(r'(?:href|src)="(/static/[^"]+)"', page)
    assert len(found) >= 4
    for address in found:
        assert address.endswith(f"?v={code_version()}")
        answer = Client().get(address)
        answer.close()
        assert answer.status_code == 200, address
        assert "max-age=2592000" in answer.headers["Cache-Control"]
