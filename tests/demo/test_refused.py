"""A book that is not ready is not filled."""

import pytest
from django.core.management import CommandError, call_command

from shop.people.models import Person


@pytest.mark.django_db
def test_a_book_without_words_places_and_terms_is_not_filled() -> None:
    with pytest.raises(CommandError, match=r"not prepared yet\. Run `manage\.py migrate` and `manage\.py prepare`"):
        call_command("seed_demo")
    assert not Person.objects.exists()
