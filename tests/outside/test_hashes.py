"""Hashes, signatures and canonical JSON against published values."""

import hashlib
import json

import pytest
import rfc8785
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from jobs.papers import canonical

# FIPS 180-4 and its published examples (empty message, one block, two blocks, one million times "a")
SHA256 = {
    b"": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    b"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": (
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    ),
    b"a" * 1_000_000: "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
}

# RFC 8032 section 7.1, TEST 1 to 3: secret key, public key, message, signature
ED25519 = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe"
            "24655141438e7a100b"
        ),
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302a"
            "eeb00d291612bb0c00"
        ),
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        (
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed2"
            "8dc027beceea1ec40a"
        ),
    ),
]

# RFC 8785 section 3.2.3 (the input typed from memory)
RFC8785_INPUT = (
    r'{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],'
    r'"string":"\u20ac$\u000F\u000aA' + "'" + r'\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}'
)
RFC8785_OUTPUT = (
    '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
)


@pytest.mark.parametrize(("message", "expected"), SHA256.items(), ids=["empty", "abc", "two-blocks", "million"])
def test_sha256_gives_the_published_digests(message: bytes, expected: str) -> None:
    assert canonical.sha256(message) == expected


@pytest.mark.parametrize(("secret", "public", "message", "signature"), ED25519, ids=["test-1", "test-2", "test-3"])
def test_ed25519_gives_the_published_keys_and_signatures(
    secret: str, public: str, message: str, signature: str
) -> None:
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
    said = bytes.fromhex(message)
    assert key.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw).hex() == public
    assert key.sign(said).hex() == signature
    key.public_key().verify(bytes.fromhex(signature), said)
    with pytest.raises(InvalidSignature):
        key.public_key().verify(bytes.fromhex(signature), said + b"!")


def test_the_example_of_rfc_8785_comes_out_as_printed_there() -> None:
    # our papers refuse fractions, so the example goes to the library our canonical form is made with
    made = rfc8785.dumps(json.loads(RFC8785_INPUT))
    assert made.decode() == RFC8785_OUTPUT
    assert len(made) == 118
    # derived from the 118 bytes above
    assert hashlib.sha256(made).hexdigest() == "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb"


def test_a_public_vector_of_canonical_json_comes_out_the_same() -> None:
    # a public test vector for RFC 8785 with SHA-256
    made = canonical.canonical({"b": 1, "a": "x", "c": [True, 2]})
    assert made == b'{"a":"x","b":1,"c":[true,2]}'
    assert canonical.sha256(made) == "04ceb95b6eab660e1db5b4cf9e1d8ad320a4772a2a22775bb679d53daabd84f2"


def test_names_of_members_are_sorted_by_utf_16_units() -> None:
    # RFC 8785 section 3.2.3: the example of sorted property names (from memory of the RFC)
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    made = json.loads(canonical.canonical(dict.fromkeys(names, "x")), object_pairs_hook=list)
    assert [name for name, _ in made] == ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
