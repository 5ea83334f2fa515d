"""The shop's own seal: one key and self-signed certificate, made once and kept in its home, and the sealing of a PDF.

RSA with PKCS #1 v1.5 and SHA-256 on purpose: it has exactly one valid signature for one text, so `checking` can
refuse every other byte string in its place. The seal reaches no network and carries no outside time stamp.
"""

import asyncio
import os
import secrets
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime, timedelta
from io import BytesIO
from pathlib import Path

from asn1crypto import algos
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import padding, rsa
from cryptography.x509.oid import NameOID
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import signers
from pyhanko.sign.fields import MDPPerm, SigSeedSubFilter
from pyhanko.sign.signers import cms_embedder
from pyhanko.sign.signers.pdf_byterange import SignatureObject
from pyhanko.sign.signers.pdf_cms import PdfCMSSignedAttributes

from jobs.papers.canonical import sha256

KEY_BITS = 3072
CERTIFICATE_YEARS = 30
FIELD = "Seal"
RESERVED_HEX_DIGITS = 8192
_COMMON_NAME_MAX = 64


@dataclass(frozen=True, slots=True)
class ShopKey:
    """The shop's private key and its certificate in DER."""

    private: rsa.RSAPrivateKey
    certificate: bytes

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, for people to compare."""
        return sha256(self.certificate)


def _made(shop_name: str, at: datetime) -> bytes:
    key = rsa.generate_private_key(public_exponent=65537, key_size=KEY_BITS)
    named = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, shop_name.strip()[:_COMMON_NAME_MAX] or "Workshop")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(named)
        .issuer_name(named)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at)
        .not_valid_after(at + timedelta(days=round(CERTIFICATE_YEARS * 365.25)))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(
            x509.KeyUsage(
                digital_signature=True,
                content_commitment=True,
                key_encipherment=False,
                data_encipherment=False,
                key_agreement=False,
                key_cert_sign=False,
                crl_sign=False,
                encipher_only=False,
                decipher_only=False,
            ),
            critical=True,
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    private = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    return private + certificate.public_bytes(serialization.Encoding.PEM)


def key_path(home: Path) -> Path:
    """Where the shop keeps its seal."""
    return home / "seal.pem"


def ensure_key(home: Path, shop_name: str, at: datetime) -> ShopKey:
    """The shop's key, made on the first call (0.2 to 2 s). Two processes starting at once agree on one key."""
    path = key_path(home)
    if not path.exists():
        fresh = home / f".seal.{os.getpid()}.{secrets.token_hex(4)}"
        descriptor = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        try:
            with os.fdopen(descriptor, "wb") as out:
                out.write(_made(shop_name, at))
                out.flush()
                os.fsync(out.fileno())
            os.link(fresh, path)
        except FileExistsError:
            pass  # another process was first: its key is the shop's
        finally:
            fresh.unlink()
    return read_key(path)


def read_key(path: Path) -> ShopKey:
    """The key and certificate kept in a file of `ensure_key`."""
    pem = path.read_bytes()
    # the slow soundness test of a key guards against foreign keys; this file is our own
    private = serialization.load_pem_private_key(pem, password=None, unsafe_skip_rsa_key_validation=True)
    if not isinstance(private, rsa.RSAPrivateKey):
        raise ValueError(f"{path} does not hold the shop's own kind of key.")
    certificate = x509.load_pem_x509_certificates(pem)[0]
    return ShopKey(private, certificate.public_bytes(serialization.Encoding.DER))


class _Signer(signers.Signer):
    """Signs with a key that is already loaded: loading it anew would cost more than setting the page."""

    def __init__(self, key: ShopKey) -> None:
        super().__init__(
            signing_cert=asn1_x509.Certificate.load(key.certificate),
            signature_mechanism=algos.SignedDigestAlgorithm({"algorithm": "sha256_rsa"}),
        )
        self._private = key.private

    async def async_sign_raw(self, data: bytes, digest_algorithm: str, dry_run: bool = False) -> bytes:
        return self._private.sign(data, padding.PKCS1v15(), hashes.SHA256())


class _Writer(IncrementalPdfFileWriter):
    """Adds the seal and leaves the document's own metadata as typst wrote it: rewritten, it is no PDF/A any more."""

    def _update_meta(self) -> None:
        return None


def seal(pdf: bytes, key: ShopKey, *, reason: str, at: datetime) -> bytes:
    """The PDF with one PAdES signature over the whole of it, which allows no later change. `at` is the claimed time."""
    signer = _Signer(key)
    writer = _Writer(BytesIO(pdf if pdf.endswith(b"\n") else pdf + b"\n"))
    steps = cms_embedder.PdfCMSEmbedder().write_cms(field_name=FIELD, writer=writer)
    next(steps)
    steps.send(
        cms_embedder.SigObjSetup(
            sig_placeholder=SignatureObject(
                timestamp=at,
                subfilter=SigSeedSubFilter.PADES,
                name=signer.subject_name,
                reason=reason,
                bytes_reserved=RESERVED_HEX_DIGITS,
            ),
            mdp_setup=cms_embedder.SigMDPSetup(md_algorithm="sha256", certify=True, docmdp_perms=MDPPerm.NO_CHANGES),
        )
    )
    prepared, sealed = steps.send(cms_embedder.SigIOSetup(md_algorithm="sha256", output=BytesIO()))
    signing = signer.async_sign(
        prepared.document_digest,
        digest_algorithm="sha256",
        use_pades=True,
        signed_attr_settings=PdfCMSSignedAttributes(),
    )
    with ThreadPoolExecutor(max_workers=1) as apart:  # clear of any loop that runs in the caller's thread
        steps.send(apart.submit(asyncio.run, signing).result())
    return bytes(sealed.getvalue())
