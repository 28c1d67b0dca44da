"""The garage's own certificate authority: it can vouch for names in the house, and for nothing else.

Two certificates. The root is what a phone trusts. Its key signs one issuing certificate and is then forgotten without
ever touching the disk; the issuing key, in a file only its owner may read, signs the server's own certificates. Both
carry the same critical name constraints (RFC 5280 section 4.2.1.10). That the constraints stand in the issuing
certificate too is what makes them hold: RFC 5280 section 6.2 lets a phone ignore whatever a root says of itself.

Names of a kind a certificate does not limit are not limited at all, so the kinds we have no use for are closed by
permitting one that cannot exist (`invalid`, RFC 2606): mail addresses and web addresses. What is left of other uses
(signing mail, programs, people) the issuing certificate shuts out by its extended key usage.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from app.phone.private_files import private_folder, put_once
from app.phone.private_names import PRIVATE_NAMES, PRIVATE_NETWORKS
from app.records.not_done import NotDoneError

TEN_YEARS = timedelta(days=3652)
#: Clocks differ: a certificate made this minute must not be "not yet valid" on a phone that runs behind.
BACKDATED = timedelta(days=1)

_FILE = "authority.pem"
_CANNOT_EXIST = "invalid"
_USE = x509.KeyUsage(
    digital_signature=False,
    content_commitment=False,
    key_encipherment=False,
    data_encipherment=False,
    key_agreement=False,
    key_cert_sign=True,
    crl_sign=True,
    encipher_only=False,
    decipher_only=False,
)


class SpoiltAuthorityError(NotDoneError):
    """The authority's file is there but can't be read; making a new one would need every phone to trust it anew."""


@dataclass(frozen=True, slots=True)
class Authority:
    """What signs, and what a phone trusts."""

    root: x509.Certificate
    issuing: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @classmethod
    def open(cls, folder: Path, now: datetime) -> "Authority":
        """The authority kept in `folder`, made on first use. Two programs starting at once end up with the same one.

        Raises SpoiltAuthorityError.
        """
        path = private_folder(folder) / _FILE
        if not path.exists():
            put_once(path, _text(make(now)))
        path.chmod(0o600)
        return _read(path)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the root as phones show it: 16 groups of 4 hexadecimal digits."""
        return groups(self.root.fingerprint(hashes.SHA256()))

    @property
    def root_der(self) -> bytes:
        """The root as phones take it in."""
        return self.root.public_bytes(serialization.Encoding.DER)

    @property
    def root_pem(self) -> bytes:
        """The root as text, for computers."""
        return self.root.public_bytes(serialization.Encoding.PEM)

    @property
    def ends(self) -> datetime:
        """When phones stop trusting it."""
        return min(self.root.not_valid_after_utc, self.issuing.not_valid_after_utc)


def groups(digest: bytes) -> str:
    """A fingerprint a person can compare: `AB12 34CD ...`."""
    text = digest.hex().upper()
    return " ".join(text[at : at + 4] for at in range(0, len(text), 4))


def make(now: datetime) -> Authority:
    """A new authority. The root's key goes no further than this function."""
    root_key, key = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
    mark = x509.SubjectKeyIdentifier.from_public_key(root_key.public_key()).digest.hex()[:4].upper()
    signer = _Signer(_name(f"Witnessmark garage {mark}"), root_key)
    root = _signed(signer.name, root_key.public_key(), signer, now, below=1)
    issuing = _signed(_name(f"Witnessmark garage {mark}, issuing"), key.public_key(), signer, now, below=0)
    return Authority(root, issuing, key)


def constraints() -> x509.NameConstraints:
    """The only names a certificate below may carry."""
    return x509.NameConstraints(
        permitted_subtrees=[
            *(x509.DNSName(name) for name in PRIVATE_NAMES),
            *(x509.IPAddress(network) for network in PRIVATE_NETWORKS),
            x509.RFC822Name(_CANNOT_EXIST),
            x509.UniformResourceIdentifier(_CANNOT_EXIST),
        ],
        excluded_subtrees=None,
    )


class _Signer(NamedTuple):
    name: x509.Name
    key: ec.EllipticCurvePrivateKey


def _signed(
    subject: x509.Name, public: ec.EllipticCurvePublicKey, by: _Signer, now: datetime, *, below: int
) -> x509.Certificate:
    builder = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(by.name)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BACKDATED)
        .not_valid_after(now + TEN_YEARS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=below), critical=True)
        .add_extension(_USE, critical=True)
        .add_extension(constraints(), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(by.key.public_key()), critical=False)
    )
    if below == 0:
        builder = builder.add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
    return builder.sign(by.key, hashes.SHA256())


def _name(common: str) -> x509.Name:
    return x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Private names only"),
            x509.NameAttribute(NameOID.COMMON_NAME, common),
        ]
    )


def private_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    """A key as text. Not encrypted: whoever may read the file also runs the program that would hold the password."""
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _text(authority: Authority) -> bytes:
    # One file, so that key and certificates can never be of two different makings.
    certificates = (one.public_bytes(serialization.Encoding.PEM) for one in (authority.issuing, authority.root))
    return private_pem(authority.key) + b"".join(certificates)


def _read(path: Path) -> Authority:
    text = path.read_bytes()
    try:
        key = serialization.load_pem_private_key(text, None)
        issuing, root = x509.load_pem_x509_certificates(text)
    except ValueError as error:
        raise _spoilt(path, "it is not whole") from error
    if not isinstance(key, ec.EllipticCurvePrivateKey) or issuing.public_key() != key.public_key():
        raise _spoilt(path, "its key is not its certificate's")
    return Authority(root, issuing, key)


def _spoilt(path: Path, why: str) -> SpoiltAuthorityError:
    return SpoiltAuthorityError(
        f"The garage's certificate authority, {path}, can't be used: {why}. Put the file back from a backup, "
        "or move it away: a new one is then made, and every phone has to trust that one instead."
    )
