"""The certificate that the page is served with on the shop's network: one given, or one of our own making.

A phone gives its microphone only to a page that came encrypted. Nobody vouches for a certificate that a machine
makes for itself, so the phone warns once; the fingerprint in the terminal is what to compare.
"""

from __future__ import annotations

import hashlib
import ipaddress
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from assistant.errors import OperatorError
from assistant.web.private_file import write_private

VALID_DAYS = 397
"""Days that a certificate of our own is good for: browsers refuse longer ones."""
_RENEW_DAYS = 30
_CERTIFICATE, _KEY = "page-certificate.pem", "page-key.pem"


@dataclass(frozen=True, slots=True)
class Certificate:
    """A certificate with its key."""

    certificate: Path
    """PEM file of the certificate, the chain behind it."""
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
    """The certificate of our own in this folder; made anew when there is none, or it ends soon, or names are missing.

    Args:
        folder: private to the user; made when it is not there.
        names: host names and addresses under which the page is reached.
        now: wall time with its offset.

    Raises:
        OperatorError: it cannot be written.
    """
    from assistant.web.signing import is_good_for, make_pair

    certificate, key = folder / _CERTIFICATE, folder / _KEY
    try:
        if not (key.is_file() and certificate.is_file() and is_good_for(certificate.read_bytes(), names, now)):
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            made = make_pair(names, now, now + timedelta(days=VALID_DAYS))
            write_private(key, made.key)
            write_private(certificate, made.certificate)
        return Certificate(certificate, key, _fingerprint(certificate), own=True)
    except OSError as error:
        raise OperatorError(
            f"The page's certificate in {folder} cannot be written or read: {error.strerror or error}.",
            remedy="Make the folder writable, or give --certificate and --key.",
        ) from None


def addresses_of(names: Sequence[str]) -> tuple[list[str], list[ipaddress.IPv4Address | ipaddress.IPv6Address]]:
    """Host names and addresses apart."""
    hosts: list[str] = []
    addresses: list[ipaddress.IPv4Address | ipaddress.IPv6Address] = []
    for name in names:
        try:
            addresses.append(ipaddress.ip_address(name))
        except ValueError:
            hosts.append(name)
    return hosts, addresses


def renewal(now: datetime) -> datetime:
    """A certificate that ends before this is made anew."""
    return now + timedelta(days=_RENEW_DAYS)


def _fingerprint(certificate: Path) -> str:
    der = ssl.PEM_cert_to_DER_cert(_first_block(certificate.read_text(encoding="ascii")))
    digest = hashlib.sha256(der).hexdigest().upper()
    return ":".join(digest[at : at + 2] for at in range(0, len(digest), 2))


def _first_block(text: str) -> str:
    end = "-----END CERTIFICATE-----"
    begin = text.find("-----BEGIN CERTIFICATE-----")
    if begin < 0 or end not in text:
        raise ValueError("it holds no certificate in PEM")
    return text[begin : text.index(end, begin) + len(end)] + "\n"
