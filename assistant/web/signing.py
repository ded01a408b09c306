"""Making a certificate: the only module that needs the package ``cryptography``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from assistant.web.certificate import addresses_of, renewal


@dataclass(frozen=True, slots=True)
class Pair:
    """A certificate and its key, both PEM."""

    certificate: bytes
    key: bytes


def make_pair(names: Sequence[str], begins: datetime, ends: datetime) -> Pair:
    """A certificate that this machine signs for itself, for these names and addresses (RFC 5280, P-256)."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Leadsman on this machine")])
    hosts, addresses = addresses_of(names)
    alternatives = [*(x509.DNSName(host) for host in hosts), *(x509.IPAddress(one) for one in addresses)]
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins - timedelta(days=1))
        .not_valid_after(ends)
        .add_extension(x509.SubjectAlternativeName(alternatives), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    return Pair(
        certificate.public_bytes(serialization.Encoding.PEM),
        key.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        ),
    )


def is_good_for(pem: bytes, names: Sequence[str], now: datetime) -> bool:
    """True when a certificate names all of these and does not end soon."""
    try:
        certificate = x509.load_pem_x509_certificate(pem)
        found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, x509.ExtensionNotFound):
        return False
    hosts, addresses = addresses_of(names)
    has_names = set(hosts) <= set(found.get_values_for_type(x509.DNSName))
    has_addresses = set(addresses) <= set(found.get_values_for_type(x509.IPAddress))
    return has_names and has_addresses and certificate.not_valid_after_utc > renewal(now)
