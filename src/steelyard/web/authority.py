"""Certificates for a page in one's own network: an authority that can vouch for private names only.

Three certificates make a chain. The root is what a phone is told to trust; its key signs one issuer and is
forgotten at once. The issuer, whose key is kept, signs the server's certificate. Both root and issuer are limited
to private networks and names (RFC 5280, section 4.2.1.10). A root's own limits bind only those browsers that look
at them; an issuer's bind every browser. So whoever steals the kept key can pose as a device in a private network,
and as nothing else.

Nothing here reads a clock or a file.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric.ec import SECP256R1, EllipticCurvePrivateKey, generate_private_key
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from steelyard.errors import OutOfRange
from steelyard.web.private import ENDINGS, NETWORKS, address_of, is_private

AUTHORITY_LASTS = timedelta(days=3650)
SERVER_LASTS = timedelta(days=397)
"""Browsers refuse server certificates that last much longer."""
BACKDATED = timedelta(days=1)
"""For clocks that are a little behind."""

Certificate = x509.Certificate


@dataclass(frozen=True, slots=True)
class Keyed:
    """A certificate with its private key."""

    certificate: Certificate
    key: EllipticCurvePrivateKey


@dataclass(frozen=True, slots=True)
class Authority:
    """The root that devices trust, whose key no longer exists, and the issuer that signs for it."""

    root: Certificate
    issuer: Keyed


def new_authority(name: str, now: datetime) -> Authority:
    """A new authority, limited to private networks and names.

    name: what a phone lists it as, at most 50 letters, so that a person finds it again to remove it.
    now:  aware of its time zone.
    """
    root_key = generate_private_key(SECP256R1())
    ends = now + AUTHORITY_LASTS
    root = (
        _begun(_called(name), _called(name), root_key, (now - BACKDATED, ends))
        .add_extension(x509.BasicConstraints(ca=True, path_length=1), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(_limits(), critical=True)
        .sign(root_key, SHA256())
    )
    key = generate_private_key(SECP256R1())
    issuer = (
        _begun(_called(f"{name}, issuer"), root.subject, key, (now - BACKDATED, ends))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(_limits(), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_signed_by(root), critical=False)
        .sign(root_key, SHA256())
    )
    return Authority(root, Keyed(issuer, key))


def new_server(authority: Authority, places: tuple[str, ...], now: datetime) -> Keyed:
    """A certificate for a server in a private network, for at most 397 days.

    places: addresses and names by which it is reached.

    Raises: OutOfRange if a place is not private, or none is given.
    """
    if not places:
        raise OutOfRange("the list of addresses", "empty", "one private address or more")
    for place in places:
        check_private(place)
    issuer = authority.issuer
    starts = now - BACKDATED
    ends = min(starts + SERVER_LASTS, issuer.certificate.not_valid_after_utc)
    key = generate_private_key(SECP256R1())
    names = x509.SubjectAlternativeName([_alternative(place) for place in places])
    signed = (
        _begun(_called(places[0][:50]), issuer.certificate.subject, key, (starts, ends))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(names, critical=False)
        .add_extension(_signed_by(issuer.certificate), critical=False)
        .sign(issuer.key, SHA256())
    )
    return Keyed(signed, key)


def check_private(place: str) -> None:
    """Refuse what the authority may not vouch for. Raises: OutOfRange.

    >>> check_private("192.168.1.20"), check_private("gym.lan")
    (None, None)
    >>> check_private("gym.example.com")
    Traceback (most recent call last):
    ...
    steelyard.errors.OutOfRange: name is 'gym.example.com'; it must be one that ends in .local, .home.arpa, .lan, \
.localhost or .test, or a private address such as 192.168.1.20
    """
    if not is_private(place):
        endings = ", ".join(f".{ending}" for ending in ENDINGS[:-1]) + f" or .{ENDINGS[-1]}"
        accepted = f"one that ends in {endings}, or a private address such as 192.168.1.20"
        raise OutOfRange("name", f"'{place[:80]}'", accepted)


def places_of(certificate: Certificate) -> frozenset[str]:
    """The addresses and names that a server's certificate is for."""
    names = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    addresses = names.get_values_for_type(x509.IPAddress)
    return frozenset(names.get_values_for_type(x509.DNSName)) | frozenset(map(str, addresses))


def fingerprint(certificate: Certificate) -> str:
    """The SHA-256 of a certificate as telephones show it: 32 pairs of hexadecimal digits."""
    return certificate.fingerprint(SHA256()).hex(" ").upper()


def encoded(certificate: Certificate) -> bytes:
    """A certificate as telephones take it in (DER)."""
    return certificate.public_bytes(Encoding.DER)


def name_of(certificate: Certificate) -> str:
    """What a certificate is called where certificates are listed."""
    return str(certificate.subject.get_attributes_for_oid(NameOID.COMMON_NAME)[0].value)


def _called(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _begun(
    subject: x509.Name, issuer: x509.Name, key: EllipticCurvePrivateKey, valid: tuple[datetime, datetime]
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(valid[0])
        .not_valid_after(valid[1])
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs,
        crl_sign=signs,
        encipher_only=False,
        decipher_only=False,
    )


def _limits() -> x509.NameConstraints:
    networks = [x509.IPAddress(network) for network in NETWORKS]
    names = [x509.DNSName(ending) for ending in ENDINGS]
    return x509.NameConstraints(permitted_subtrees=[*networks, *names], excluded_subtrees=None)


def _signed_by(issuer: Certificate) -> x509.AuthorityKeyIdentifier:
    known = issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    return x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(known)


def _alternative(place: str) -> x509.GeneralName:
    address = address_of(place)
    return x509.DNSName(place) if address is None else x509.IPAddress(address)
