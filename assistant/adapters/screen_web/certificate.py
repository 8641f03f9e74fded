"""The certificate that this machine makes for itself, so that a phone's browser gives its microphone and camera.

Nobody vouches for it: that is what the browser warns of, and why its fingerprint is shown to be compared. It is kept,
so that a phone that has been here once can tell another one.
"""

from __future__ import annotations

import ipaddress
import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from assistant.errors import SetupError

CERTIFICATE_FILE, KEY_FILE = "phone-certificate.pem", "phone-key.pem"
_LASTS = timedelta(days=397)
"""Longer ones are refused by some phones (from memory)."""

_LEFT = timedelta(days=14)
"""One that ends sooner is made anew."""

_NAME = "hoodside on this laptop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """Where it and its key lie. `fingerprint`: SHA-256 as browsers write it. `fresh`: whether it was made just now."""

    file: Path
    key: Path
    fingerprint: str
    fresh: bool


def own_certificate(folder: Path, address: str, now: datetime | None = None) -> Certificate:
    """The one kept in `folder` for this address; made where there is none that fits. Raises SetupError."""
    file, key = folder / CERTIFICATE_FILE, folder / KEY_FILE
    today = now or datetime.now(UTC)
    try:
        kept = _kept(file, key, address, today)
        made = kept or _made(file, key, address, today)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise SetupError(f"The certificate for the phone cannot be used: {file}: {why}.") from error
    digest = made.fingerprint(hashes.SHA256()).hex().upper()
    pairs = ":".join(digest[at : at + 2] for at in range(0, len(digest), 2))
    return Certificate(file=file, key=key, fingerprint=pairs, fresh=kept is None)


def _kept(file: Path, key: Path, address: str, today: datetime) -> x509.Certificate | None:
    if not file.exists() or not key.exists():
        return None
    kept = x509.load_pem_x509_certificate(file.read_bytes())
    private = serialization.load_pem_private_key(key.read_bytes(), None)
    names = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    fits = ipaddress.ip_address(address) in names.get_values_for_type(x509.IPAddress)
    lasts = kept.not_valid_before_utc <= today and kept.not_valid_after_utc - today > _LEFT
    return kept if fits and lasts and private.public_key() == kept.public_key() else None


def _made(file: Path, key: Path, address: str, today: datetime) -> x509.Certificate:
    private = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, _NAME)])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(today - timedelta(hours=1))
        .not_valid_after(today + _LASTS)
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(address))]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(private, hashes.SHA256())
    )
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    plain = serialization.NoEncryption()
    _write(key, private.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain))
    _write(file, made.public_bytes(serialization.Encoding.PEM))
    return made


def _write(path: Path, content: bytes) -> None:
    """For the user alone, whole before it has its name."""
    unfinished = path.with_suffix(".next")
    unfinished.unlink(missing_ok=True)
    with os.fdopen(os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(content)
    unfinished.replace(path)
