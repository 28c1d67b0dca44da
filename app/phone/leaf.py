"""The certificate the server shows: for its name and this machine's private addresses, renewed by itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from app.phone.authority import BACKDATED, Authority, private_pem
from app.phone.private_files import put
from app.phone.private_names import LOOPBACK, Address

#: From first to last second. Public authorities may not go over 398 days (CA/Browser Forum Baseline Requirements
#: 6.3.2, 2020); phones allow a private one more, but may not for ever.
LIFETIME = timedelta(days=397)
RENEW_BEFORE_END = timedelta(days=30)

_FILE = "server.pem"
_USE = x509.KeyUsage(
    digital_signature=True,
    content_commitment=False,
    key_encipherment=False,
    data_encipherment=False,
    key_agreement=False,
    key_cert_sign=False,
    crl_sign=False,
    encipher_only=False,
    decipher_only=False,
)


@dataclass(frozen=True, slots=True)
class Kept:
    """The file (key, certificate, issuing certificate), its certificate, and whether it was made just now."""

    path: Path
    certificate: x509.Certificate
    fresh: bool


def keep(authority: Authority, folder: Path, name: str, addresses: Sequence[Address], now: datetime) -> Kept:
    """The server's certificate in `folder`, made anew when it is missing, nearly over, or for other names."""
    path = folder / _FILE
    kept = _read(path)
    if kept is not None and not is_due(kept, authority, name, addresses, now):
        return Kept(path, kept, fresh=False)
    key, certificate = sign(authority, name, addresses, now)
    chain = (one.public_bytes(serialization.Encoding.PEM) for one in (certificate, authority.issuing))
    put(path, private_pem(key) + b"".join(chain))
    return Kept(path, certificate, fresh=True)


def is_due(
    certificate: x509.Certificate, authority: Authority, name: str, addresses: Sequence[Address], now: datetime
) -> bool:
    """Whether another certificate is needed: soon over, signed by another authority, or for other names."""
    names = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    signer = certificate.extensions.get_extension_for_class(x509.AuthorityKeyIdentifier).value
    if set(names) != set(_names(name, addresses)) or signer != _mark(authority):
        return True
    # When the authority itself is nearly over, a new certificate would end no later than this one.
    ends = certificate.not_valid_after_utc
    return ends - now < RENEW_BEFORE_END and ends < authority.ends


def sign(
    authority: Authority, name: str, addresses: Sequence[Address], now: datetime
) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
    """A new key and its certificate for `name`, localhost and the addresses.

    The authority does not look at what it signs here: what keeps it to private names is what it is, not what it does.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    starts = now - BACKDATED
    certificate = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name[:64])]))
        .issuer_name(authority.issuing.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(starts)
        .not_valid_after(min(starts + LIFETIME, authority.ends))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_USE, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(_names(name, addresses)), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(_mark(authority), critical=False)
        .sign(authority.key, hashes.SHA256())
    )
    return key, certificate


def _mark(authority: Authority) -> x509.AuthorityKeyIdentifier:
    return x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key())


def _names(name: str, addresses: Sequence[Address]) -> list[x509.GeneralName]:
    dns = dict.fromkeys((name, "localhost"))
    ips = dict.fromkeys((*addresses, *LOOPBACK))
    return [*(x509.DNSName(one) for one in dns), *(x509.IPAddress(one) for one in ips)]


def _read(path: Path) -> x509.Certificate | None:
    try:
        text = path.read_bytes()
        serialization.load_pem_private_key(text, None)
        return x509.load_pem_x509_certificates(text)[0]
    except (FileNotFoundError, ValueError):
        return None
