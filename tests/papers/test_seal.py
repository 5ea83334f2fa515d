"""The shop's key is made once and kept close; poppler, which knows nothing of us, calls the seal valid."""

import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import padding
from cryptography.hazmat.primitives.asymmetric.rsa import RSAPublicKey

from jobs.papers.seal import ShopKey, ensure_key, key_path, read_key, seal
from jobs.papers.typeset import typeset
from tests.papers import samples

AT_ONCE = """
import sys, time
from datetime import UTC, datetime
from pathlib import Path
from jobs.papers.seal import ensure_key
while time.time() < float(sys.argv[2]):
    pass
print(ensure_key(Path(sys.argv[1]), "A shop", datetime(2026, 11, 6, tzinfo=UTC)).fingerprint)
"""


def test_the_key_is_made_on_the_first_call_and_kept_for_its_owner_alone(home: Path) -> None:
    made = ensure_key(home, "Marrowfen Strings Workshop", samples.AT)
    path = key_path(home)
    assert path.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in home.iterdir()] == [path.name]
    assert ensure_key(home, "Another name", samples.AT + timedelta(days=900)).certificate == made.certificate
    assert read_key(path).certificate == made.certificate


def test_two_processes_starting_at_once_agree_on_one_key(home: Path) -> None:
    start = subprocess.run(
        [sys.executable, "-c", "import time; print(time.time() + 3)"], capture_output=True, text=True, check=True
    ).stdout.strip()
    root = Path(__file__).resolve().parents[2]
    racing = [
        subprocess.Popen(
            [sys.executable, "-c", AT_ONCE, str(home), start],
            stdout=subprocess.PIPE,
            text=True,
            cwd=root,
            env={**os.environ, "PYTHONPATH": str(root)},
        )
        for _ in range(3)
    ]
    said = [one.communicate(timeout=60)[0].strip() for one in racing]
    assert [one.returncode for one in racing] == [0, 0, 0]
    assert len(set(said)) == 1
    assert len(said[0]) == 64
    assert [one.name for one in home.iterdir()] == ["seal.pem"]


@pytest.mark.parametrize("name", ["עדה כלי מיתר", "王小明弦樂工房", "🎻 Shop", "S" * 200, "  "])
def test_any_name_of_a_shop_makes_a_key(home: Path, name: str) -> None:
    made = ensure_key(home, name, samples.AT)
    held = samples.freeze(samples.receipt())
    assert seal(typeset("receipt", held.data, {}), made, reason=name, at=samples.AT).startswith(b"%PDF-")


def test_the_certificate_says_what_the_key_is_for_and_signs_itself(key: ShopKey) -> None:
    certificate = x509.load_der_x509_certificate(key.certificate)
    public = certificate.public_key()
    assert isinstance(public, RSAPublicKey)
    assert public.key_size == 3072
    public.verify(certificate.signature, certificate.tbs_certificate_bytes, padding.PKCS1v15(), hashes.SHA256())
    use = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    assert use.digital_signature
    assert use.content_commitment
    assert not use.key_cert_sign


def test_sealing_leaves_the_documents_own_words_about_itself_alone(sealed: bytes) -> None:
    assert sealed.count(b"<pdfaid:part>3</pdfaid:part>") == 1
    assert sealed.count(b"<x:xmpmeta") == 1
    assert b"pyHanko" not in sealed


@pytest.mark.needs_poppler
def test_poppler_says_the_seal_is_valid_and_covers_the_whole_document(sealed: bytes, tmp_path: Path) -> None:
    (tmp_path / "note.pdf").write_bytes(sealed)
    told = subprocess.run(["pdfsig", tmp_path / "note.pdf"], capture_output=True, text=True, check=False).stdout
    assert "Signature is Valid." in told
    assert "Total document signed" in told
    assert "Signer Certificate Common Name: Marrowfen Strings Workshop" in told
    assert "ETSI.CAdES.detached" in told
    assert "Signing Hash Algorithm: SHA-256" in told
    assert told.count("Signature #") == 1


@pytest.mark.needs_poppler
def test_poppler_sees_a_change_under_the_seal(sealed: bytes, tmp_path: Path) -> None:
    at = sealed.index(b"/Title")
    (tmp_path / "note.pdf").write_bytes(sealed[: at + 20] + bytes([sealed[at + 20] ^ 1]) + sealed[at + 21 :])
    told = subprocess.run(["pdfsig", tmp_path / "note.pdf"], capture_output=True, text=True, check=False).stdout
    assert "Digest Mismatch" in told
