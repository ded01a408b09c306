"""Certificates: our own is made once, kept privately, named rightly; a given one must fit its key."""

from __future__ import annotations

import hashlib
import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from assistant.errors import OperatorError
from assistant.web.access.certificate import VALID_DAYS, given_certificate, own_certificate

NOW = datetime(2026, 3, 2, 7, 40, tzinfo=UTC)
NAMES = ("192.0.2.17", "shop-pc", "shop-pc.local", "localhost", "2001:db8::5")


def test_our_own_names_every_name_and_is_private(tmp_path: Path) -> None:
    """The fingerprint is the SHA-256 of the certificate as a browser shows it."""
    made = own_certificate(tmp_path / "page", NAMES, NOW)
    certificate = x509.load_pem_x509_certificate(made.certificate.read_bytes())
    named = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert set(named.get_values_for_type(x509.DNSName)) == {"shop-pc", "shop-pc.local", "localhost"}
    assert {str(one) for one in named.get_values_for_type(x509.IPAddress)} == {"192.0.2.17", "2001:db8::5"}
    der = ssl.PEM_cert_to_DER_cert(made.certificate.read_text())
    assert made.fingerprint.replace(":", "").lower() == hashlib.sha256(der).hexdigest()
    assert made.key.stat().st_mode & 0o077 == 0
    assert made.key.parent.stat().st_mode & 0o077 == 0
    assert made.own


def test_it_is_kept_until_it_ends_soon_or_lacks_a_name(tmp_path: Path) -> None:
    """A phone that trusted it once is not asked again without need."""
    first = own_certificate(tmp_path, NAMES, NOW)
    assert own_certificate(tmp_path, NAMES[:2], NOW + timedelta(days=90)).fingerprint == first.fingerprint
    assert own_certificate(tmp_path, (*NAMES, "192.0.2.99"), NOW).fingerprint != first.fingerprint
    second = own_certificate(tmp_path, NAMES, NOW)
    renewed = own_certificate(tmp_path, NAMES, NOW + timedelta(days=VALID_DAYS - 5))
    assert renewed.fingerprint != second.fingerprint


def test_a_broken_certificate_is_replaced(tmp_path: Path) -> None:
    """Half a file after a power cut is no reason to stop."""
    made = own_certificate(tmp_path, NAMES, NOW)
    made.certificate.write_bytes(made.certificate.read_bytes()[:100])
    assert own_certificate(tmp_path, NAMES, NOW).fingerprint != made.fingerprint


def test_a_given_pair_must_belong_together(tmp_path: Path) -> None:
    """A key of another certificate, a file that is none, and no file: each a sentence."""
    one = own_certificate(tmp_path / "one", NAMES, NOW)
    two = own_certificate(tmp_path / "two", NAMES, NOW)
    given = given_certificate(one.certificate, one.key)
    assert given.fingerprint == one.fingerprint
    assert not given.own
    with pytest.raises(OperatorError, match="cannot be used together"):
        given_certificate(one.certificate, two.key)
    (tmp_path / "note.txt").write_text("no certificate")
    with pytest.raises(OperatorError, match="cannot be used together"):
        given_certificate(tmp_path / "note.txt", one.key)
    with pytest.raises(OperatorError, match="Cannot read"):
        given_certificate(tmp_path / "absent.pem", one.key)
