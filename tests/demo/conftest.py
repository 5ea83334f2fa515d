"""The sample shop, filled once for all tests of a module that look at it."""

from collections.abc import Iterator

import pytest
from django.core.management import call_command
from django.test import override_settings
from pytest_django import DjangoDbBlocker


@pytest.fixture(scope="module")
def filled(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """A prepared book with the sample shop in it, each step committed, under a seal of its own."""
    with django_db_blocker.unblock(), override_settings(SHOP_HOME=tmp_path_factory.mktemp("home")):
        call_command("prepare", verbosity=0)
        call_command("seed_demo", photos="few", verbosity=0)
        try:
            yield
        finally:
            call_command("flush", interactive=False, verbosity=0)
