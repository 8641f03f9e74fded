"""The certificate that this machine makes for itself, so that a phone's browser gives its microphone and camera.

Nobody whom the phone knows vouches for it: that is what the browser warns of, and why its fingerprint is shown to be
compared. It is kept, so that a phone that has been here once can tell another one. An authority of its own signs it,
which a phone may be given to trust for good (`profile.py`). It can vouch for nothing but this address, and its key is
thrown away as soon as it has signed, so nobody who finds it gains anything.
"""

from __future__ import annotations

import ipaddress
import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from assistant.errors import SetupError

CERTIFICATE_FILE, KEY_FILE, AUTHORITY_FILE = "phone-certificate.pem", "phone-key.pem", "phone-authority.pem"
_LASTS = timedelta(days=397)
"""Longer ones are refused by some phones (from memory)."""

_LEFT = timedelta(days=14)
"""One that ends sooner is made anew."""

_NAME, _AUTHORITY_NAME = "hoodside on this laptop", "hoodside, for one laptop alone"
_NO_NAME = "hoodside.invalid"
"""Of no host (RFC 2606): the authority may vouch for names below it, that is for none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """Where it and its key lie. `fingerprint`: SHA-256 as browsers write it. `fresh`: whether it was made just now.
    `authority`: where the certificate lies that signed it; `vouches`: that one, in DER, and its fingerprint."""

    file: Path
    key: Path
    authority: Path
    fingerprint: str
    vouches: bytes
    vouches_fingerprint: str
    fresh: bool


def own_certificate(folder: Path, address: str, now: datetime | None = None) -> Certificate:
    """The one kept in `folder` for this address; made where there is none that fits. Raises SetupError."""
    file, key, authority = folder / CERTIFICATE_FILE, folder / KEY_FILE, folder / AUTHORITY_FILE
    today = now or datetime.now(UTC)
    try:
        kept = _kept(file, key, authority, address, today)
        made, by = kept or _made(file, key, authority, address, today)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise SetupError(f"The certificate for the phone cannot be used: {file}: {why}.") from error
    return Certificate(
        file=file,
        key=key,
        authority=authority,
        fingerprint=_fingerprint(made),
        vouches=by.public_bytes(serialization.Encoding.DER),
        vouches_fingerprint=_fingerprint(by),
        fresh=kept is None,
    )


def _fingerprint(certificate: x509.Certificate) -> str:
    digest = certificate.fingerprint(hashes.SHA256()).hex().upper()
    return ":".join(digest[at : at + 2] for at in range(0, len(digest), 2))


_Signed = tuple[x509.Certificate, x509.Certificate]
"""A certificate, and the one that vouches for it."""


def _kept(file: Path, key: Path, authority: Path, address: str, today: datetime) -> _Signed | None:
    if not file.exists() or not key.exists() or not authority.exists():
        return None
    kept = x509.load_pem_x509_certificate(file.read_bytes())
    by = x509.load_pem_x509_certificate(authority.read_bytes())
    try:
        kept.verify_directly_issued_by(by)
    except (ValueError, TypeError, InvalidSignature):
        return None
    private = serialization.load_pem_private_key(key.read_bytes(), None)
    names = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    fits = ipaddress.ip_address(address) in names.get_values_for_type(x509.IPAddress)
    lasts = kept.not_valid_before_utc <= today and kept.not_valid_after_utc - today > _LEFT
    return (kept, by) if fits and lasts and private.public_key() == kept.public_key() else None


def _made(file: Path, key: Path, authority: Path, address: str, today: datetime) -> _Signed:
    private, signing = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))  # the second is kept nowhere
    by = _authority(signing, address, today)
    made = (
        _begun(_NAME, _AUTHORITY_NAME, private, today)
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(address))]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signing.public_key()), critical=False)
        .sign(signing, hashes.SHA256())
    )
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    plain = serialization.NoEncryption()
    _write(key, private.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain))
    _write(authority, by.public_bytes(serialization.Encoding.PEM))
    _write(file, made.public_bytes(serialization.Encoding.PEM))
    return made, by


def _authority(signing: ec.EllipticCurvePrivateKey, address: str, today: datetime) -> x509.Certificate:
    """Whose only signature is for this address: no other one and no name is within its bounds (RFC 5280, 4.2.1.10)."""
    alone = [x509.IPAddress(ipaddress.ip_network(address)), x509.DNSName(_NO_NAME)]
    return (
        _begun(_AUTHORITY_NAME, _AUTHORITY_NAME, signing, today)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.NameConstraints(permitted_subtrees=alone, excluded_subtrees=None), critical=True)
        .add_extension(_SIGNS_ALONE, critical=True)
        .sign(signing, hashes.SHA256())
    )


_SIGNS_ALONE = x509.KeyUsage(
    key_cert_sign=True, digital_signature=False, content_commitment=False, key_encipherment=False,
    data_encipherment=False, key_agreement=False, crl_sign=False, encipher_only=False, decipher_only=False,
)  # fmt: skip


def _begun(name: str, by: str, private: ec.EllipticCurvePrivateKey, today: datetime) -> x509.CertificateBuilder:
    """What every certificate holds: who, by whom, for how long, and its key with the key's name."""
    named, issued = (x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, each)]) for each in (name, by))
    return (
        x509.CertificateBuilder()
        .subject_name(named)
        .issuer_name(issued)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(today - timedelta(hours=1))
        .not_valid_after(today + _LASTS)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(private.public_key()), critical=False)
    )


def _write(path: Path, content: bytes) -> None:
    """For the user alone, whole before it has its name."""
    unfinished = path.with_suffix(".next")
    unfinished.unlink(missing_ok=True)
    with os.fdopen(os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(content)
    unfinished.replace(path)
