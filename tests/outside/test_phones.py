"""Telephone numbers in the international form of ITU-T E.164: a plus sign and at most fifteen digits."""

import pytest

from jobs.book.parties import phone_e164
from jobs.book.refusals import Refused


# computed; 555-01xx and 7946 0xxx are numbers that the numbering plans keep free for examples
@pytest.mark.parametrize(
    ("written", "region", "e164"),
    [
        ("(212) 555-0123", "US", "+12125550123"),
        ("020 7946 0123", "GB", "+442079460123"),
        ("030 901820", "DE", "+4930901820"),
        ("06 12 34 56 78", "FR", "+33612345678"),
        ("+44 20 7946 0123", "US", "+442079460123"),
        ("  ", "GB", ""),
    ],
)
def test_a_number_as_written_becomes_e164(written: str, region: str, e164: str) -> None:
    assert phone_e164(written, region) == e164


@pytest.mark.parametrize("written", ["next door", "123", "+999 123456", "020 7946 0123 456 789 000"])
def test_what_is_no_number_is_refused_and_quoted(written: str) -> None:
    with pytest.raises(Refused) as refusal:
        phone_e164(written, "GB")
    assert f"“{written}”" in refusal.value.words
