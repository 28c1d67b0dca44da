"""The server's certificate: short-lived, for this machine's names alone, renewed by itself."""

import stat
from dataclasses import replace
from datetime import timedelta
from ipaddress import ip_address
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.x509.oid import ExtendedKeyUsageOID
from hypothesis import given, settings
from hypothesis import strategies as st

from app.phone.authority import Authority, make
from app.phone.leaf import keep, sign

from .conftest import NOW

HOME = ip_address("192.168.1.20")
NAME = "tern.local"


def test_it_lasts_397_days_from_first_to_last(authority: Authority) -> None:
    _, made = sign(authority, NAME, [HOME], NOW)
    assert made.not_valid_after_utc - made.not_valid_before_utc == timedelta(days=397)
    assert made.not_valid_before_utc < NOW


def test_it_is_for_the_name_the_addresses_and_this_machine(authority: Authority) -> None:
    _, made = sign(authority, NAME, [HOME], NOW)
    names = made.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.DNSName) == [NAME, "localhost"]
    assert names.get_values_for_type(x509.IPAddress) == [HOME, ip_address("127.0.0.1"), ip_address("::1")]
    use = made.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(use) == [ExtendedKeyUsageOID.SERVER_AUTH]


def test_the_file_holds_key_and_chain_for_its_owner_alone(authority: Authority, folder: Path) -> None:
    folder.mkdir()
    kept = keep(authority, folder, NAME, [HOME], NOW)
    text = kept.path.read_bytes()
    assert x509.load_pem_x509_certificates(text) == [kept.certificate, authority.issuing]
    assert serialization.load_pem_private_key(text, None).public_key() == kept.certificate.public_key()
    assert stat.S_IMODE(kept.path.stat().st_mode) == 0o600


def test_a_restart_keeps_it(authority: Authority, folder: Path) -> None:
    folder.mkdir()
    first = keep(authority, folder, NAME, [HOME], NOW)
    again = keep(authority, folder, NAME, [HOME], NOW + timedelta(days=300))
    assert (first.fresh, again.fresh) == (True, False)
    assert again.certificate == first.certificate


@settings(max_examples=40, deadline=None)
@given(days=st.integers(min_value=0, max_value=400))
def test_it_is_renewed_when_fewer_than_thirty_days_are_left(
    days: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("lan")
    authority = make(NOW)
    first = keep(authority, folder, NAME, [HOME], NOW)
    later = NOW + timedelta(days=days)
    renewed = keep(authority, folder, NAME, [HOME], later)
    assert renewed.fresh == (first.certificate.not_valid_after_utc - later < timedelta(days=30))
    assert renewed.certificate.not_valid_after_utc - later >= timedelta(days=30)


@pytest.mark.parametrize(
    ("name", "addresses"),
    [("heron.local", [HOME]), (NAME, []), (NAME, [HOME, ip_address("10.0.0.4")]), (NAME, [ip_address("192.168.1.21")])],
)
def test_other_names_or_addresses_renew_it(
    authority: Authority, folder: Path, name: str, addresses: list[object]
) -> None:
    folder.mkdir()
    keep(authority, folder, NAME, [HOME], NOW)
    assert keep(authority, folder, name, addresses, NOW).fresh  # type: ignore[arg-type]  # addresses, as parametrised


def test_addresses_in_another_order_do_not(authority: Authority, folder: Path) -> None:
    folder.mkdir()
    other = ip_address("10.0.0.4")
    keep(authority, folder, NAME, [HOME, other], NOW)
    assert not keep(authority, folder, NAME, [other, HOME], NOW).fresh


def test_another_authority_renews_it(authority: Authority, folder: Path) -> None:
    folder.mkdir()
    keep(authority, folder, NAME, [HOME], NOW)
    assert keep(make(NOW), folder, NAME, [HOME], NOW).fresh


@pytest.mark.parametrize("spoil", [b"", b"-----BEGIN CERTIFICATE-----\nnot one\n-----END CERTIFICATE-----\n"])
def test_a_spoilt_file_is_made_anew(authority: Authority, folder: Path, spoil: bytes) -> None:
    folder.mkdir()
    keep(authority, folder, NAME, [HOME], NOW).path.write_bytes(spoil)
    assert keep(authority, folder, NAME, [HOME], NOW).fresh


def test_it_never_outlasts_the_authority_and_is_not_made_over_and_over_at_its_end(folder: Path) -> None:
    folder.mkdir()
    authority = make(NOW)
    near_the_end = authority.ends - timedelta(days=20)
    first = keep(authority, folder, NAME, [HOME], near_the_end)
    assert first.certificate.not_valid_after_utc == authority.ends
    assert not keep(authority, folder, NAME, [HOME], near_the_end + timedelta(hours=1)).fresh


def test_a_very_long_name_still_gets_one(authority: Authority) -> None:
    name = f"{'a' * 63}.local"
    _, made = sign(authority, name, [], NOW)
    names = made.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert name in names.get_values_for_type(x509.DNSName)


def test_what_is_kept_can_be_replaced_as_a_whole_only(authority: Authority, folder: Path) -> None:
    folder.mkdir()
    kept = keep(authority, folder, NAME, [HOME], NOW)
    renewed = keep(authority, folder, "heron.local", [HOME], NOW)
    assert replace(renewed, fresh=True, certificate=kept.certificate) == kept
    assert [one.name for one in folder.iterdir()] == ["server.pem"]
