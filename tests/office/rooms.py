"""What tests of the shop’s rooms share: the head luthier at a browser, and the hidden fields of a form."""

import re

from django.test import Client

from shop.people.roles import Role
from tests import factory


def head() -> Client:
    """The head luthier, signed in."""
    client = Client()
    client.force_login(factory.person(Role.HEAD), backend="django.contrib.auth.backends.ModelBackend")
    return client


def hidden(page: str, name: str) -> str:
    """The value of the first hidden field of a name. Fails when there is none."""
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found, name
    return found[1]
