"""What the home's authority vouches for, judged by another reader of RFC 5280 (cryptography's verifier)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from ipaddress import ip_address, ip_network

import pytest
from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from steelyard.errors import OutOfRange
from steelyard.web import authority as module
from steelyard.web.authority import (
    Authority,
    Keyed,
    fingerprint,
    name_of,
    new_authority,
    new_server,
    places_of,
)
from steelyard.web.private import ENDINGS, NETWORKS, is_private

NOW = datetime(2026, 3, 5, 18, 30, tzinfo=UTC)
PLACES = ("gym.lan", "192.168.1.20", "127.0.0.1", "::1", "fd12::5", "localhost", "gym.test", "garage.home.arpa")


@pytest.fixture(scope="module")
def home() -> Authority:
    return new_authority("Steelyard of a test", NOW)


@pytest.fixture(scope="module")
def server(home: Authority) -> Keyed:
    return new_server(home, PLACES, NOW)


def forged(home: Authority, *places: str) -> Keyed:
    """What a thief of the key would make: a certificate for any place at all."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "is_private", lambda place: True)
        return new_server(home, places, NOW)


def verify(home: Authority, shown: Keyed, place: str, at: datetime = NOW) -> int:
    """The length of the chain that leads from a server to what a phone trusts. Raises: VerificationError."""
    try:
        subject: x509.DNSName | x509.IPAddress = x509.IPAddress(ip_address(place))
    except ValueError:
        subject = x509.DNSName(place)
    verifier = PolicyBuilder().store(Store([home.root])).time(at).build_server_verifier(subject)
    return len(verifier.verify(shown.certificate, [home.issuer.certificate]))


@pytest.mark.parametrize("place", PLACES)
def test_a_server_is_believed_by_each_of_its_names(home: Authority, server: Keyed, place: str) -> None:
    assert verify(home, server, place) == 3


@pytest.mark.parametrize(
    "place", ["gym.example.com", "lan.example", "notlocal", "8.8.8.8", "172.32.0.1", "2001:db8::1"]
)
def test_the_key_is_of_no_use_for_a_public_name(home: Authority, place: str) -> None:
    with pytest.raises(VerificationError, match="constraint"):
        verify(home, forged(home, place), place)


def test_a_public_name_beside_a_private_one_spoils_both(home: Authority) -> None:
    with pytest.raises(VerificationError, match="constraint"):
        verify(home, forged(home, "gym.lan", "gym.example.com"), "gym.lan")


def test_a_thief_with_a_private_name_is_believed(home: Authority) -> None:
    assert verify(home, forged(home, "printer.lan"), "printer.lan") == 3  # as the page on trusting says


@pytest.mark.parametrize(
    "place", ["gym.example.com", "8.8.8.8", "gym", "-.lan", "GYM.lan", "", "*.lan", "a" * 64 + ".lan"]
)
def test_what_is_not_private_is_refused_before_it_is_signed(home: Authority, place: str) -> None:
    with pytest.raises(OutOfRange, match=r"must be one that ends in \.local, .* or a private address"):
        new_server(home, ("gym.lan", place), NOW)


def test_a_server_without_any_place_is_refused(home: Authority) -> None:
    with pytest.raises(OutOfRange, match="list of addresses is empty"):
        new_server(home, (), NOW)


def test_root_and_issuer_carry_the_same_critical_limits(home: Authority) -> None:
    both = [
        one.extensions.get_extension_for_class(x509.NameConstraints)
        for one in (home.root, home.issuer.certificate)
    ]
    assert [one.critical for one in both] == [True, True]
    assert both[0].value == both[1].value


def test_the_limits_are_the_networks_and_endings_that_are_promised(home: Authority) -> None:
    limits = home.root.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees
    assert limits is not None
    networks = {one.value for one in limits if isinstance(one, x509.IPAddress)}
    assert networks == set(NETWORKS)
    assert {one.value for one in limits if isinstance(one, x509.DNSName)} == set(ENDINGS)


def test_every_permitted_network_is_private_by_the_registry() -> None:
    """Against the registry of special addresses that Python's ipaddress follows."""
    assert all(network.is_private for network in NETWORKS)
    assert not any(
        network.supernet().is_private for network in map(ip_network, ("192.168.0.0/16", "172.16.0.0/12"))
    )


def test_the_issuer_signs_servers_only_and_no_further_issuer(home: Authority) -> None:
    extensions = home.issuer.certificate.extensions
    assert extensions.get_extension_for_class(x509.BasicConstraints).value.path_length == 0
    usage = extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]


def test_the_key_that_is_kept_is_not_the_root_s(home: Authority) -> None:
    assert home.issuer.key.public_key() != home.root.public_key()


def test_a_server_lasts_397_days(server: Keyed) -> None:
    lasts = server.certificate.not_valid_after_utc - server.certificate.not_valid_before_utc
    assert lasts == timedelta(days=397)


def test_a_server_is_not_believed_after_its_end(home: Authority, server: Keyed) -> None:
    assert verify(home, server, "gym.lan", NOW + timedelta(days=395)) == 3
    with pytest.raises(VerificationError, match="not valid at validation time"):
        verify(home, server, "gym.lan", NOW + timedelta(days=397))


def test_no_server_outlives_its_authority(home: Authority) -> None:
    late = new_server(home, ("gym.lan",), NOW + timedelta(days=3600))
    assert late.certificate.not_valid_after_utc == home.issuer.certificate.not_valid_after_utc


def test_the_places_of_a_certificate_can_be_read_back(server: Keyed) -> None:
    assert places_of(server.certificate) == set(PLACES)


def test_a_fingerprint_is_32_pairs_as_a_phone_shows_them(home: Authority) -> None:
    assert len(fingerprint(home.root).split()) == 32
    assert fingerprint(home.root) == fingerprint(home.root).upper()


def test_an_authority_can_be_found_again_by_its_name(home: Authority) -> None:
    assert name_of(home.root) == "Steelyard of a test"


def test_two_authorities_share_nothing() -> None:
    one, other = new_authority("a", NOW), new_authority("a", NOW)
    assert one.root.serial_number != other.root.serial_number
    with pytest.raises(VerificationError):
        verify(one, new_server(other, ("gym.lan",), NOW), "gym.lan")


def test_a_name_is_private_by_its_whole_last_words() -> None:
    assert is_private("local") and is_private("a.b.home.arpa")
    assert not is_private("nonlocal") and not is_private("home.arpa.example")
