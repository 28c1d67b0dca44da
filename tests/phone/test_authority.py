"""The authority vouches for names in the house and for nothing else, in the eyes of two verifiers not ours."""

import stat
import subprocess
import sys
import threading
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from app.phone.authority import Authority, SpoiltAuthorityError, make
from app.phone.leaf import sign

from .conftest import NOW

PEM = serialization.Encoding.PEM


def issue(
    authority: Authority, *names: x509.GeneralName, common: str = "x", use: x509.ObjectIdentifier | None = None
) -> x509.Certificate:
    """A certificate the authority's key has signed, whatever is in it: what a thief of the key could make."""
    key = ec.generate_private_key(ec.SECP256R1())
    builder = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common)]))
        .issuer_name(authority.issuing.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=90))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([use or ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key()), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    if names:
        builder = builder.add_extension(x509.SubjectAlternativeName(names), critical=False)
    return builder.sign(authority.key, hashes.SHA256())


def openssl_takes(
    folder: Path, root: x509.Certificate, between: Sequence[x509.Certificate], leaf: x509.Certificate, *more: str
) -> tuple[bool, str]:
    """What `openssl verify` says."""
    (folder / "root.pem").write_bytes(root.public_bytes(PEM))
    (folder / "between.pem").write_bytes(b"".join(one.public_bytes(PEM) for one in between))
    (folder / "leaf.pem").write_bytes(leaf.public_bytes(PEM))
    command = ["openssl", "verify", "-attime", str(int(NOW.timestamp())), "-CAfile", "root.pem", *more]
    command += [*(("-untrusted", "between.pem") if between else ()), "leaf.pem"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    return done.returncode == 0, done.stdout + done.stderr


def cryptography_takes(
    root: x509.Certificate,
    between: Sequence[x509.Certificate],
    leaf: x509.Certificate,
    name: x509.DNSName | x509.IPAddress,
) -> bool:
    verifier = PolicyBuilder().store(Store([root])).time(NOW).build_server_verifier(name)
    try:
        return bool(verifier.verify(leaf, list(between)))
    except VerificationError:
        return False


PRIVATE = [
    x509.DNSName("tern.local"),
    x509.DNSName("localhost"),
    x509.DNSName("garage.home.arpa"),
    x509.DNSName("garage.internal"),
    *(
        x509.IPAddress(ip_address(one))
        for one in ("10.1.2.3", "172.31.0.9", "192.168.1.20", "169.254.7.7", "127.0.0.1", "::1", "fd12::9", "fe80::9")
    ),
]
PUBLIC = [
    x509.DNSName("example.com"),
    x509.DNSName("local.example"),
    x509.DNSName("notlocal"),
    x509.DNSName("tern.lan"),
    x509.DNSName("home.arpa.example"),
    *(
        x509.IPAddress(ip_address(one))
        for one in ("8.8.8.8", "172.32.0.1", "192.169.0.1", "11.0.0.1", "100.64.0.1", "2001:db8::1", "fe00::1", "::2")
    ),
]


@pytest.mark.parametrize("name", PRIVATE, ids=lambda one: str(one.value))
def test_a_private_name_is_vouched_for(
    authority: Authority, tmp_path: Path, name: x509.DNSName | x509.IPAddress
) -> None:
    made = issue(authority, name)
    taken, said = openssl_takes(
        tmp_path, authority.root, [authority.issuing], made, "-x509_strict", "-purpose", "sslserver"
    )
    assert taken, said
    assert cryptography_takes(authority.root, [authority.issuing], made, name)


@pytest.mark.parametrize("name", PUBLIC, ids=lambda one: str(one.value))
def test_a_public_name_signed_with_the_same_key_is_refused(
    authority: Authority, tmp_path: Path, name: x509.DNSName | x509.IPAddress
) -> None:
    made = issue(authority, name)
    taken, said = openssl_takes(tmp_path, authority.root, [authority.issuing], made)
    assert not taken
    assert "permitted subtree violation" in said
    assert not cryptography_takes(authority.root, [authority.issuing], made, name)


def test_a_public_name_beside_a_private_one_is_refused(authority: Authority, tmp_path: Path) -> None:
    made = issue(authority, x509.DNSName("tern.local"), x509.DNSName("example.com"))
    assert not openssl_takes(tmp_path, authority.root, [authority.issuing], made)[0]
    assert not cryptography_takes(authority.root, [authority.issuing], made, x509.DNSName("tern.local"))


@pytest.mark.parametrize(
    "name",
    [
        x509.RFC822Name("someone@example.com"),
        x509.RFC822Name("someone@tern.local"),
        x509.UniformResourceIdentifier("https://example.com/"),
        x509.UniformResourceIdentifier("https://tern.local/"),
    ],
    ids=lambda one: str(one.value),
)
def test_a_kind_of_name_nobody_listed_is_not_thereby_allowed(
    authority: Authority, tmp_path: Path, name: x509.GeneralName
) -> None:
    made = issue(authority, name)
    taken, said = openssl_takes(tmp_path, authority.root, [authority.issuing], made)
    assert not taken
    assert "permitted subtree violation" in said


def test_a_public_name_hidden_in_the_subject_is_refused(authority: Authority, tmp_path: Path) -> None:
    # Where a certificate lists no names, older programs take the subject's common name for one.
    made = issue(authority, common="www.example.com")
    assert not openssl_takes(tmp_path, authority.root, [authority.issuing], made)[0]


@pytest.mark.parametrize(
    ("use", "purpose"),
    [
        (ExtendedKeyUsageOID.EMAIL_PROTECTION, "smimesign"),
        (ExtendedKeyUsageOID.CLIENT_AUTH, "sslclient"),
        (ExtendedKeyUsageOID.TIME_STAMPING, "timestampsign"),
    ],
    ids=["mail", "people", "time"],
)
def test_nothing_but_servers_is_vouched_for(
    authority: Authority, tmp_path: Path, use: x509.ObjectIdentifier, purpose: str
) -> None:
    made = issue(authority, x509.DNSName("tern.local"), use=use)
    assert not openssl_takes(tmp_path, authority.root, [authority.issuing], made, "-purpose", purpose)[0]


def test_a_verifier_that_ignores_the_roots_own_limits_still_refuses_a_public_name(
    authority: Authority, tmp_path: Path
) -> None:
    """RFC 5280 section 6.2: what a trusted root says of itself need not be looked at.

    Such a verifier sees the root's name and key and nothing else, which is what this stand-in holds. (Its signature is
    another key's; nobody checks a root's signature on itself.)
    """
    other = ec.generate_private_key(ec.SECP256R1())
    bare = (
        x509.CertificateBuilder()
        .subject_name(authority.root.subject)
        .issuer_name(authority.root.subject)
        .public_key(authority.root.public_key())
        .serial_number(1)
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=90))
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(other, hashes.SHA256())
    )
    good, bad = issue(authority, x509.DNSName("tern.local")), issue(authority, x509.DNSName("example.com"))
    assert openssl_takes(tmp_path, bare, [authority.issuing], good)[0]
    taken, said = openssl_takes(tmp_path, bare, [authority.issuing], bad)
    assert not taken
    assert "permitted subtree violation" in said


def test_the_authority_can_make_no_other_authority(authority: Authority, tmp_path: Path) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    below = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "below")]))
        .issuer_name(authority.issuing.subject)
        .public_key(key.public_key())
        .serial_number(2)
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=90))
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(authority.key, hashes.SHA256())
    )
    made = issue(Authority(authority.root, below, key), x509.DNSName("tern.local"))
    taken, said = openssl_takes(tmp_path, authority.root, [authority.issuing, below], made)
    assert not taken
    assert "path length constraint exceeded" in said


def test_both_certificates_carry_the_limits_as_critical(authority: Authority) -> None:
    for one, below in ((authority.root, 1), (authority.issuing, 0)):
        basic = one.extensions.get_extension_for_class(x509.BasicConstraints)
        assert basic.critical
        assert basic.value == x509.BasicConstraints(ca=True, path_length=below)
        limits = one.extensions.get_extension_for_class(x509.NameConstraints)
        assert limits.critical
        assert one.extensions.get_extension_for_class(x509.KeyUsage).critical
        assert one.not_valid_after_utc - NOW == timedelta(days=3652)


def test_the_key_is_for_its_owner_alone_whatever_the_umask(folder: Path) -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "import os, sys; os.umask(0); sys.path[:0] = sys.argv[2:]\n"
            "from pathlib import Path; from datetime import datetime, UTC; from app.phone.authority import Authority\n"
            "Authority.open(Path(sys.argv[1]), datetime.now(UTC))",
            str(folder),
            *sys.path,
        ],
        check=False,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert [stat.S_IMODE(one.stat().st_mode) for one in folder.iterdir()] == [0o600]


def test_a_restart_keeps_the_same_authority(folder: Path) -> None:
    first = Authority.open(folder, NOW)
    again = Authority.open(folder, NOW + timedelta(days=200))
    assert again.root == first.root
    assert again.key.private_numbers() == first.key.private_numbers()


def test_two_programs_starting_at_once_make_one_authority(folder: Path) -> None:
    found: list[str] = []
    start = threading.Barrier(8)

    def open_it() -> None:
        start.wait()
        found.append(Authority.open(folder, NOW).fingerprint)

    threads = [threading.Thread(target=open_it) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(found) == 8
    assert len(set(found)) == 1


def test_only_the_issuing_key_is_ever_written(folder: Path) -> None:
    made = Authority.open(folder, NOW)
    kept = (folder / "authority.pem").read_bytes()
    assert kept.count(b"PRIVATE KEY-----") == 2  # its first line and its last
    key = serialization.load_pem_private_key(kept, None)
    assert key.public_key() == made.issuing.public_key()
    assert key.public_key() != made.root.public_key()


def test_a_spoilt_file_is_not_quietly_replaced(folder: Path) -> None:
    Authority.open(folder, NOW)
    path = folder / "authority.pem"
    spoilt = path.read_bytes()[:-40]
    path.write_bytes(spoilt)
    with pytest.raises(SpoiltAuthorityError, match="Put the file back from a backup"):
        Authority.open(folder, NOW)
    assert path.read_bytes() == spoilt


def test_a_key_that_is_not_the_certificates_is_found_out(folder: Path) -> None:
    Authority.open(folder, NOW)
    path = folder / "authority.pem"
    certificates = path.read_bytes().partition(b"-----BEGIN CERTIFICATE")
    stranger = ec.generate_private_key(ec.SECP256R1()).private_bytes(
        PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    path.write_bytes(stranger + certificates[1] + certificates[2])
    with pytest.raises(SpoiltAuthorityError, match="its key is not its certificate's"):
        Authority.open(folder, NOW)


def test_the_fingerprint_is_the_one_openssl_prints(authority: Authority, tmp_path: Path) -> None:
    (tmp_path / "root.pem").write_bytes(authority.root_pem)
    command = ["openssl", "x509", "-in", "root.pem", "-noout", "-fingerprint", "-sha256"]
    said = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True).stdout
    assert said.partition("=")[2].strip().replace(":", "") == authority.fingerprint.replace(" ", "")
    assert [len(group) for group in authority.fingerprint.split(" ")] == [4] * 16


def test_the_servers_own_certificate_passes_the_strictest_check(authority: Authority, tmp_path: Path) -> None:
    _, made = sign(authority, "witnessmark-7k3f.local", [ip_address("192.168.1.20"), ip_address("fd12::9")], NOW)
    more = ("-x509_strict", "-purpose", "sslserver", "-verify_hostname", "witnessmark-7k3f.local")
    taken, said = openssl_takes(tmp_path, authority.root, [authority.issuing], made, *more)
    assert taken, said
    assert openssl_takes(tmp_path, authority.root, [authority.issuing], made, "-verify_ip", "192.168.1.20")[0]
    assert not openssl_takes(tmp_path, authority.root, [authority.issuing], made, "-verify_hostname", "other.local")[0]


def test_an_authority_made_today_is_good_today() -> None:
    made = make(datetime.now(UTC))
    assert made.root.not_valid_before_utc < datetime.now(UTC) < made.ends
