"""The shop's own certificate authority, for tablets on the shop's network."""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from django.conf import settings

Key = ec.EllipticCurvePrivateKey
AUTHORITY_DAYS = 3650
# Browsers refuse server certificates that last longer than 398 days (CA/Browser
# Forum Baseline Requirements, section 6.3.2; from memory).
SERVER_DAYS = 397
RENEW_BEFORE = timedelta(days=30)


def authority_path() -> Path:
    """Where the certificate that tablets are to trust is kept."""
    return Path(settings.SHOP_DATA) / "tls" / "shop-ca.crt"


def server_certificate(names: Iterable[str]) -> tuple[Path, Path]:
    """Certificate and key for these host names and addresses, made when needed.

    The authority is made once; the server's certificate again when a name is new
    or it is about to run out.
    """
    folder = authority_path().parent
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    certificate, key = folder / "server.crt", folder / "server.key"
    wanted = sorted(set(names))
    if not _still_good(certificate, wanted):
        authority, authority_key = _authority(folder)
        made_key = ec.generate_private_key(ec.SECP256R1())
        made = _signed_server(wanted, made_key, authority, authority_key)
        _keep(key, _key_bytes(made_key))
        chain = [made, authority]
        pem = [each.public_bytes(serialization.Encoding.PEM) for each in chain]
        _keep(certificate, b"".join(pem))
    return certificate, key


def fingerprint() -> str:
    """The authority's SHA-256, to compare on the tablet; empty without one."""
    if not authority_path().exists():
        return ""
    certificate = x509.load_pem_x509_certificate(authority_path().read_bytes())
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def _authority(folder: Path) -> tuple[x509.Certificate, Key]:
    path, key_path = authority_path(), folder / "shop-ca.key"
    if path.exists() and key_path.exists():
        kept = serialization.load_pem_private_key(key_path.read_bytes(), None)
        assert isinstance(kept, Key)
        return x509.load_pem_x509_certificate(path.read_bytes()), kept
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Our shop's own server")])
    usage = x509.KeyUsage(
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
    made = (
        _builder(name, name, key, days=AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .sign(key, hashes.SHA256())
    )
    _keep(key_path, _key_bytes(key))
    _keep(path, made.public_bytes(serialization.Encoding.PEM))
    return made, key


def _signed_server(
    names: list[str], key: Key, authority: x509.Certificate, authority_key: Key
) -> x509.Certificate:
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:64])])
    public = authority_key.public_key()
    by_authority = x509.AuthorityKeyIdentifier.from_issuer_public_key(public)
    return (
        _builder(subject, authority.subject, key, days=SERVER_DAYS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(
            x509.SubjectAlternativeName([_alternative(name) for name in names]),
            critical=False,
        )
        .add_extension(
            x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False
        )
        .add_extension(by_authority, critical=False)
        .sign(authority_key, hashes.SHA256())
    )


def _builder(
    subject: x509.Name, issuer: x509.Name, key: Key, *, days: int
) -> x509.CertificateBuilder:
    now = datetime.now(UTC)
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=days - 1))
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
        )
    )


def _still_good(path: Path, names: list[str]) -> bool:
    if not path.exists() or not authority_path().exists():
        return False
    kept = x509.load_pem_x509_certificate(path.read_bytes())
    covers = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName)
    lasts = kept.not_valid_after_utc - datetime.now(UTC) > RENEW_BEFORE
    return lasts and {_alternative(name) for name in names} <= set(covers.value)


def _alternative(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _key_bytes(key: Key) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def _keep(path: Path, data: bytes) -> None:
    # Made readable for us alone from the first byte on.
    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(data)
