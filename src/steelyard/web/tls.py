"""The folder that holds the authority and the server's certificate: made once, read, renewed.

authority.pem   key and certificate of the issuer, certificate of the root; stays, so that a phone trusts once
server.pem      key and certificate of the server, certificate of the issuer; made anew when it no longer serves

Either file is replaced as a whole, so that a power cut leaves a key with the certificate it belongs to.
"""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from secrets import token_hex

from cryptography import x509
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

from steelyard.errors import DamagedFile
from steelyard.web.addresses import LOOPBACK, own_name
from steelyard.web.authority import Authority, Certificate, Keyed, new_authority, new_server, places_of
from steelyard.web.private import is_private

RENEW_BEFORE = timedelta(days=30)
LARGEST = 65_536
"""More than either file holds. [bytes]"""


@dataclass(frozen=True, slots=True)
class Kept:
    """What a folder holds after looking after it.

    chain:   path of the file that the server shows its certificate from.
    places:  addresses and names that the certificate is for.
    renewed: whether the server's certificate was made just now.
    """

    root: Certificate
    chain: Path
    places: frozenset[str]
    renewed: bool


def keep(folder: Path, places: tuple[str, ...], now: datetime) -> Kept:
    """The authority and a certificate for these places: made where missing, renewed where it no longer serves.

    folder: of its own, inside the home.
    places: private addresses and names; the first is the one that people use.
    now:    aware of its time zone.

    Raises: DamagedFile if the authority is damaged or at its end, or the folder can't be written;
        OutOfRange if a place is not private.
    """
    authority = _authority(folder, now)
    chain = folder / "server.pem"
    present = _server(chain)
    if present is not None and _serves(present, authority, places, now):
        return Kept(authority.root, chain, places_of(present.certificate), False)
    made = new_server(authority, places, now)
    _write(chain, _pem(made, authority.issuer.certificate))
    return Kept(authority.root, chain, places_of(made.certificate), True)


def places_for(host: str, addresses: tuple[str, ...], names: tuple[str, ...]) -> tuple[str, ...]:
    """What a certificate has to be for: names given, addresses, this machine's own name, this machine to itself.

    host:      one further address that is listened on; "" for none.
    addresses: of this machine; those that are not private are left out.
    names:     given by a person; kept as they are, so that a wrong one is refused aloud.
    """
    label = own_name()
    own = tuple(f"{label}.{ending}" for ending in ("local", "lan", "home.arpa")) if label else ()
    private = tuple(filter(is_private, addresses))
    listened = (host,) if host else ()
    return tuple(dict.fromkeys((*names, *listened, *private, *own, "localhost", *LOOPBACK)))


def _authority(folder: Path, now: datetime) -> Authority:
    path = folder / "authority.pem"
    if not path.exists():
        _make_folder(folder)
        owner = own_name() or "this machine"
        made = new_authority(f"Steelyard {token_hex(2)} on {owner[:24]}", now)
        _write(path, _pem(made.issuer, made.root))
        return made
    _tighten(path)
    key, (issuer, root) = _parts(path, 2)
    ends = issuer.not_valid_after_utc
    if now >= ends - timedelta(days=1):
        raise DamagedFile(
            str(path), "", f"at its end ({ends:%Y-%m-%d})", f"one that is still good; {_afresh(folder)}"
        )
    return Authority(root, Keyed(issuer, key))


def _server(path: Path) -> Keyed | None:
    """The server's certificate; none where it is missing or damaged, since a new one costs nothing."""
    if not path.exists():
        return None
    _tighten(path)
    try:
        key, (certificate, _) = _parts(path, 2)
        places_of(certificate)
    except (DamagedFile, x509.ExtensionNotFound):
        return None
    return Keyed(certificate, key)


def _serves(server: Keyed, authority: Authority, places: tuple[str, ...], now: datetime) -> bool:
    certificate, issuer = server.certificate, authority.issuer.certificate
    try:
        certificate.verify_directly_issued_by(issuer)
    except (ValueError, TypeError, InvalidSignature):
        return False
    ends = certificate.not_valid_after_utc
    fresh = certificate.not_valid_before_utc <= now and (
        now < ends - RENEW_BEFORE or ends == issuer.not_valid_after_utc
    )
    return fresh and places_of(certificate).issuperset(places)


def _parts(path: Path, count: int) -> tuple[EllipticCurvePrivateKey, list[Certificate]]:
    """A key and the certificates after it, the first of which is the key's own. Raises: DamagedFile."""
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise _damaged(path, f"not readable ({problem.strerror})") from problem
    if len(data) > LARGEST:
        raise _damaged(path, f"{len(data)} bytes long")
    try:
        key = serialization.load_pem_private_key(data, None)
        certificates = x509.load_pem_x509_certificates(data)
    except (ValueError, TypeError, UnsupportedAlgorithm) as problem:
        raise _damaged(path, "damaged") from problem
    if len(certificates) != count or not isinstance(key, EllipticCurvePrivateKey):
        raise _damaged(path, f"a file with {len(certificates)} certificates")
    if certificates[0].public_key() != key.public_key():
        raise _damaged(path, "a key and a certificate that do not belong together")
    return key, certificates


def _damaged(path: Path, value: str) -> DamagedFile:
    accepted = "a key and two certificates as Steelyard wrote them; put the file back from a copy, or"
    return DamagedFile(str(path), "", value, f"{accepted} {_afresh(path.parent)}")


def _afresh(folder: Path) -> str:
    return f"remove the folder {folder}, start again, and trust the new authority on every phone"


def _pem(keyed: Keyed, above: Certificate) -> bytes:
    pem = serialization.Encoding.PEM
    key = keyed.key.private_bytes(pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    return key + keyed.certificate.public_bytes(pem) + above.public_bytes(pem)


def _make_folder(folder: Path) -> None:
    """A folder that only its owner looks into, and that no version control takes in. Raises: DamagedFile."""
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        (folder / ".gitignore").write_text("*\n", encoding="utf-8")
    except OSError as problem:
        raise _not_writable(folder, problem) from problem


def _write(path: Path, data: bytes) -> None:
    """Put a private file in place as a whole; nobody else can read it at any moment. Raises: DamagedFile."""
    try:
        opened, beside = tempfile.mkstemp(prefix=f"{path.name}.", dir=path.parent)  # made with mode 0600
        try:
            with os.fdopen(opened, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            Path(beside).replace(path)
        except OSError:
            Path(beside).unlink(missing_ok=True)
            raise
    except OSError as problem:
        raise _not_writable(path.parent, problem) from problem


def _not_writable(folder: Path, problem: OSError) -> DamagedFile:
    accepted = "a folder of the home that can be written to; give yourself the right, or serve without --https"
    return DamagedFile(str(folder), "", f"not writable ({problem.strerror})", accepted)


def _tighten(path: Path) -> None:
    """Take other people's right to read away, as a copied home may have given it. Raises: DamagedFile."""
    try:
        if path.stat().st_mode & 0o077:
            path.chmod(0o600)
    except OSError as problem:
        raise _not_writable(path.parent, problem) from problem
