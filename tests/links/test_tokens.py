"""Tokens: what they are made of, and that nothing else opens."""

import base64
import string

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.hmac import HMAC
from hypothesis import given
from hypothesis import strategies as st

from jobs.links.tokens import LAST_GENERATION, LETTERS, MAC_BYTES, key_from, read_token, token_of

KEY = key_from("a secret of one shop")
ids = st.integers(1, 2**47)
generations = st.integers(1, LAST_GENERATION)


@given(ids, generations)
def test_a_token_reads_back_as_its_link_and_generation(link: int, generation: int) -> None:
    token = token_of(link, generation, KEY)
    assert len(token) == LETTERS
    assert set(token) <= set(string.ascii_letters + string.digits + "-_")
    assert read_token(token, KEY) == (link, generation)


@given(ids, generations, st.integers(0, LETTERS - 1), st.sampled_from(string.ascii_letters + string.digits + "-_"))
def test_no_token_with_one_letter_changed_opens(link: int, generation: int, where: int, letter: str) -> None:
    token = token_of(link, generation, KEY)
    changed = token[:where] + letter + token[where + 1 :]
    assert changed == token or read_token(changed, KEY) is None


@given(st.text(max_size=80))
def test_no_text_at_all_breaks_the_reading(text: str) -> None:
    assert read_token(text, KEY) is None


def test_the_mac_is_hmac_sha_256_cut_to_128_bits() -> None:
    # RFC 2104 §5 allows truncation to no less than half the hash; computed by an independent implementation
    raw = base64.urlsafe_b64decode(token_of(417, 3, KEY))
    check = HMAC(KEY, hashes.SHA256())
    check.update(raw[:-MAC_BYTES])
    assert MAC_BYTES * 8 >= 128
    assert raw[-MAC_BYTES:] == check.finalize()[:MAC_BYTES]


def test_another_secret_makes_other_tokens() -> None:
    token = token_of(417, 1, KEY)
    assert read_token(token, key_from("a secret of another shop")) is None


def test_spaces_padding_and_the_other_alphabet_do_not_open() -> None:
    token = token_of(2**40 + 62, 63, KEY)
    for text in (f" {token}", f"{token}=", f"{token}\n", token.replace("-", "+"), token.swapcase(), token[:-1]):
        assert text == token or read_token(text, KEY) is None
