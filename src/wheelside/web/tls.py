"""A local authority and a certificate for this machine, for phones that can't reach it by a public name.

The authority may vouch for this machine's own names only (name constraints, RFC 5280 4.2.1.10); its key stays beside the book.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
import os
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from wheelside.errors import BadRequest, Outside

AUTHORITY_DAYS, SERVER_DAYS = 3650, 397


@dataclass(frozen=True, slots=True)
class Certified:
    """The files of a server's certificate and key, and the authority's certificate with its SHA-256 fingerprint."""

    certificate: Path
    key: Path
    authority: bytes
    fingerprint: str
    new_authority: bool


def certified(folder: Path, names: Iterable[str], now: dt.datetime) -> Certified:
    """A certificate for this machine's names, made anew by the authority in `folder`, which is made where there is none.

    Raises Outside where the folder can't be written.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization

    wanted = sorted(set(names))
    for name in wanted:
        if _address(name) is None and not re.fullmatch(r"[a-z0-9]([a-z0-9.-]{0,250}[a-z0-9])?", name):
            raise BadRequest(
                f"--name {name}: give a host name of letters, digits, hyphens and dots",
                found=name,
                expected="garage.local",
            )
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        authority_file, authority_key_file = folder / "authority.pem", folder / "authority-key.pem"
        new = not authority_file.exists() or not _still_fits(authority_file.read_bytes(), wanted, now)
        if new:
            _make_authority(authority_file, authority_key_file, wanted, now)
        authority = x509.load_pem_x509_certificate(authority_file.read_bytes())
        signing = serialization.load_pem_private_key(authority_key_file.read_bytes(), None)
        _make_server(folder, authority, signing, wanted, now)
    except (OSError, ValueError) as error:
        raise Outside(
            f"making a certificate in {folder}: {error}; look at your rights to the folder, or move it away"
        ) from error
    print_ = authority.fingerprint(hashes.SHA256()).hex().upper()
    spaced = " ".join(print_[i : i + 4] for i in range(0, len(print_), 4))
    return Certified(folder / "server.pem", folder / "server-key.pem", authority_file.read_bytes(), spaced, new)


def _still_fits(data: bytes, names: list[str], now: dt.datetime) -> bool:
    """Whether an authority still lasts, and may vouch for all of these names."""
    from cryptography import x509

    authority = x509.load_pem_x509_certificate(data)
    allowed = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    known = {_spoken(one) for one in allowed}
    lasts = authority.not_valid_after_utc > now + dt.timedelta(days=30)
    return lasts and {_spoken(_constraint(n)) for n in names} <= known


def _spoken(name: object) -> str:
    return str(getattr(name, "value", name))


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return None


def _constraint(name: str):  # type: ignore[no-untyped-def]
    from cryptography import x509

    address = _address(name)
    return x509.DNSName(name) if address is None else x509.IPAddress(ipaddress.ip_network(address))


def _make_authority(file: Path, key_file: Path, names: list[str], now: dt.datetime) -> None:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import NameOID

    key = ec.generate_private_key(ec.SECP256R1())
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Wheelside on this machine, {now:%Y-%m-%d}")])
    limits = x509.NameConstraints([_constraint(n) for n in names], None)
    usage = x509.KeyUsage(
        digital_signature=False, content_commitment=False, key_encipherment=False, data_encipherment=False,
        key_agreement=False, key_cert_sign=True, crl_sign=True, encipher_only=False, decipher_only=False,
    )  # fmt: skip
    made = (
        x509.CertificateBuilder().subject_name(who).issuer_name(who).public_key(key.public_key())
        .serial_number(x509.random_serial_number()).not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + dt.timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True).add_extension(usage, critical=True)
        .add_extension(limits, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )  # fmt: skip
    _keep_key(key_file, key)
    file.write_bytes(_pem(made))


def _make_server(folder: Path, authority, signing, names: list[str], now: dt.datetime) -> None:  # type: ignore[no-untyped-def]
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

    key = ec.generate_private_key(ec.SECP256R1())
    alternatives = [x509.DNSName(n) if (a := _address(n)) is None else x509.IPAddress(a) for n in names]
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:60])]))
        .issuer_name(authority.subject).public_key(key.public_key()).serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(days=1)).not_valid_after(now + dt.timedelta(days=SERVER_DAYS))
        .add_extension(x509.SubjectAlternativeName(alternatives), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.public_key()), critical=False)
        .sign(signing, hashes.SHA256())
    )  # fmt: skip
    _keep_key(folder / "server-key.pem", key)
    (folder / "server.pem").write_bytes(_pem(made) + _pem(authority))


def _pem(certificate) -> bytes:  # type: ignore[no-untyped-def]
    from cryptography.hazmat.primitives.serialization import Encoding

    data: bytes = certificate.public_bytes(Encoding.PEM)
    return data


def _keep_key(file: Path, key) -> None:  # type: ignore[no-untyped-def]
    """Writes a private key that only its owner can read."""
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    data = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    os.fchmod(handle, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(data)
