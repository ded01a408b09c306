"""The certificate that the page is served with on the shop's network: a given one, or a self-signed one.

A phone gives its microphone only to a page that came encrypted. Nobody vouches for a certificate that a machine
makes for itself, so the phone warns once; the fingerprint in the terminal is what to compare.
"""

from __future__ import annotations

import ipaddress
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from assistant.errors import OperatorError
from assistant.private_files import make_private_folder, write_private

VALID_DAYS = 397
"""Days that a self-signed certificate is valid: browsers refuse longer ones."""
_RENEW_DAYS = 30
_CERTIFICATE, _KEY = "page-certificate.pem", "page-key.pem"


@dataclass(frozen=True, slots=True)
class Certificate:
    """A certificate with its key."""

    certificate: Path
    """PEM file of the certificate, followed by its chain."""
    key: Path
    """PEM file of its private key."""
    fingerprint: str
    """SHA-256 of the certificate in pairs of hexadecimal digits."""
    own: bool
    """True when this machine made it."""


def given_certificate(certificate: Path, key: Path) -> Certificate:
    """A certificate that was given.

    Raises:
        OperatorError: a file cannot be read, or they do not belong together.
    """
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    try:
        context.load_cert_chain(certificate, key, password=lambda: b"")
        fingerprint = _fingerprint(certificate)
    except (ssl.SSLError, ValueError) as error:
        raise OperatorError(
            f"{certificate} and {key} cannot be used together as certificate and key ({error}).",
            remedy="Give PEM files that belong together; the key may have no password.",
        ) from None
    except OSError as error:
        raise OperatorError(f"Cannot read {error.filename or certificate}: {error.strerror or error}.") from None
    return Certificate(certificate, key, fingerprint, own=False)


def own_certificate(folder: Path, names: Sequence[str], now: datetime) -> Certificate:
    """Our own certificate in this folder; a new one is made when there is none, it expires soon or it lacks a name.

    Args:
        folder: private to the user; made when it is not there.
        names: host names and addresses under which the page is reached.
        now: wall time with its offset.

    Raises:
        OperatorError: it cannot be written.
    """
    certificate, key = folder / _CERTIFICATE, folder / _KEY
    try:
        if not (key.is_file() and certificate.is_file() and _is_good_for(certificate.read_bytes(), names, now)):
            make_private_folder(folder)
            signed, private = _made(names, now)
            write_private(key, private)
            write_private(certificate, signed)
        return Certificate(certificate, key, _fingerprint(certificate), own=True)
    except OSError as error:
        raise OperatorError(
            f"The page's certificate in {folder} cannot be written or read: {error.strerror or error}.",
            remedy="Make the folder writable, or give --certificate and --key.",
        ) from None


def _made(names: Sequence[str], now: datetime) -> tuple[bytes, bytes]:
    """A certificate that this machine signs for itself (RFC 5280, P-256) and its key, both PEM."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Leadsman on this machine")])
    hosts, addresses = _apart(names)
    alternatives = [*(x509.DNSName(host) for host in hosts), *(x509.IPAddress(one) for one in addresses)]
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=VALID_DAYS))
        .add_extension(x509.SubjectAlternativeName(alternatives), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    return (
        certificate.public_bytes(serialization.Encoding.PEM),
        key.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        ),
    )


def _is_good_for(pem: bytes, names: Sequence[str], now: datetime) -> bool:
    """True when a certificate names all of these and does not end soon."""
    try:
        certificate = x509.load_pem_x509_certificate(pem)
        found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, x509.ExtensionNotFound):
        return False
    hosts, addresses = _apart(names)
    has_names = set(hosts) <= set(found.get_values_for_type(x509.DNSName))
    has_addresses = set(addresses) <= set(found.get_values_for_type(x509.IPAddress))
    return has_names and has_addresses and certificate.not_valid_after_utc > now + timedelta(days=_RENEW_DAYS)


def _apart(names: Sequence[str]) -> tuple[list[str], list[ipaddress.IPv4Address | ipaddress.IPv6Address]]:
    """Names split into host names and IP addresses."""
    hosts: list[str] = []
    addresses: list[ipaddress.IPv4Address | ipaddress.IPv6Address] = []
    for name in names:
        try:
            addresses.append(ipaddress.ip_address(name))
        except ValueError:
            hosts.append(name)
    return hosts, addresses


def _fingerprint(certificate: Path) -> str:
    """SHA-256 of the first certificate in the file, without its chain."""
    digest = x509.load_pem_x509_certificate(certificate.read_bytes()).fingerprint(hashes.SHA256())
    return digest.hex(":").upper()
