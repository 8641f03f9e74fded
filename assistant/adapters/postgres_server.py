"""A PostgreSQL server of the shop's own in one folder: made, started and stopped by the system's own programs.

Whoever comes by the network needs TLS and a password; the server's keeper comes by the socket, which lies in a folder
that no other user may enter. Old write-ahead log is removed, not reused, so that what was forgotten leaves no bytes.
"""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from assistant.errors import SetupError

KEEPER = "hoodside"
"""The server's superuser, who comes by the socket alone."""
PORT = 5463
"""Beside the usual one, which Debian's own cluster takes. Judgement."""
PROGRAMS = "/usr/lib/postgresql"
CERTIFICATE, CERTIFICATE_KEY = "shop.crt", "shop.key"
CERTIFICATE_DAYS = 3650
START_S = 60
LEAST_VERSION = 15

_ACCESS = f"""\
# Made by hoodside. The keeper comes by the socket in this folder alone; the network needs TLS but from this machine.
local   all {KEEPER}              trust
local   all all                   scram-sha-256
host    all {KEEPER} all          reject
host    all all      127.0.0.1/32 scram-sha-256
host    all all      ::1/128      scram-sha-256
hostssl all all      all          scram-sha-256
"""


class PostgresServer:
    """The server in `folder`. `prefix`: words before each program, where it is to run as another user."""

    def __init__(self, folder: Path, *, port: int = PORT, prefix: Sequence[str] = ()) -> None:
        self.folder = folder
        self.port = port
        self.prefix = tuple(prefix)
        self._programs = programs()

    @property
    def cluster(self) -> Path:
        """Where the server's files lie."""
        return self.folder / "cluster"

    @property
    def certificate(self) -> Path:
        """What bays need to know the server."""
        return self.folder / CERTIFICATE

    def address(self, database: str = "postgres") -> str:
        """How the keeper comes in."""
        return f"postgresql://{KEEPER}@/{database}?host={self.folder}&port={self.port}"

    def make(self, names: Sequence[str], listen: str, more: str = "", *, durable: bool = True) -> None:
        """Make the server's files where there are none. `names`: what bays call this machine. `listen`: where it does.

        `more`: further settings. `durable`: whether the disk is waited for. Raises SetupError."""
        if self.cluster.exists():
            return
        # The keeper has no password; who may come in at all is written below, before the server first runs.
        how = (
            "--encoding=UTF8",
            "--locale=C.UTF-8",
            "--data-checksums",
            "--auth=trust",
            *(() if durable else ("--no-sync",)),
        )
        self._run("initdb", "-D", self.cluster, "-U", KEEPER, *how)
        key, certificate = made_certificate(names)
        self._keep(self.folder / CERTIFICATE_KEY, key, 0o600)
        self._keep(self.certificate, certificate, 0o644)
        self._keep(self.cluster / "pg_hba.conf", _ACCESS.encode(), 0o600)
        settings = [
            f"listen_addresses = '{listen}'",
            f"port = {self.port}",
            f"unix_socket_directories = '{self.folder}'",
            "ssl = on",
            f"ssl_cert_file = '{self.certificate}'",
            f"ssl_key_file = '{self.folder / CERTIFICATE_KEY}'",
            "ssl_min_protocol_version = 'TLSv1.2'",
            "wal_recycle = off",
            "max_wal_size = 512MB",
            "log_parameter_max_length = 0",  # a plate must not come into a log file
            "log_parameter_max_length_on_error = 0",
            "log_min_error_statement = panic",
            "log_min_messages = error",
            "log_line_prefix = '%m [%p] %u '",
            *(() if durable else ("fsync = off",)),
            *filter(None, more.splitlines()),
        ]
        self._keep(self.cluster / "postgresql.auto.conf", "\n".join([*settings, ""]).encode(), 0o600)

    def start(self) -> None:
        """Start it, and wait until it answers. Raises SetupError."""
        if not self.runs():
            log = self.folder / "server.log"
            self._run("pg_ctl", "-D", self.cluster, "-l", log, "-w", "-t", str(START_S), "start")

    def stop(self, how: str = "fast") -> None:
        """Stop it; `how`: smart, fast or immediate."""
        if self.runs():
            self._run("pg_ctl", "-D", self.cluster, "-w", "-m", how, "stop")

    def runs(self) -> bool:
        """Whether it runs."""
        done = subprocess.run(
            [*self.prefix, self._programs / "pg_ctl", "-D", self.cluster, "status"], capture_output=True, check=False
        )
        return done.returncode == 0

    def process(self) -> int:
        """The number of its first process. Raises OSError, ValueError where it does not run."""
        return int((self.cluster / "postmaster.pid").read_text().splitlines()[0])

    def _keep(self, path: Path, content: bytes, mode: int) -> None:
        path.write_bytes(content)
        path.chmod(mode)
        owner = self.cluster.stat()
        if path.stat().st_uid != owner.st_uid:
            os.chown(path, owner.st_uid, owner.st_gid)

    def _run(self, program: str, *words: object) -> None:
        command = [*self.prefix, str(self._programs / program), *(str(word) for word in words)]
        # Its output goes into no pipe: the server that pg_ctl leaves behind would hold that open.
        with (self.folder / f"{program}.log").open("wb") as out:
            done = subprocess.run(command, stdin=subprocess.DEVNULL, stdout=out, stderr=out, check=False)
        if done.returncode:
            said = (self.folder / f"{program}.log").read_text(errors="replace").strip().splitlines()
            raise SetupError(f"{program} ended with {done.returncode}: {said[-1] if said else 'it said nothing'}")


def programs() -> Path:
    """The folder of PostgreSQL's own programs, the newest version that is installed. Raises SetupError."""
    versions = sorted(
        (int(path.name), path / "bin")
        for path in Path(PROGRAMS).glob("*")
        if (path / "bin" / "initdb").exists() and path.name.isdigit()
    )
    if versions and versions[-1][0] >= LEAST_VERSION:
        return versions[-1][1]
    found = shutil.which("initdb")
    if not versions and found:
        return Path(found).resolve().parent
    raise SetupError(
        f"PostgreSQL {LEAST_VERSION} or newer is not installed here; on Debian: apt-get install postgresql"
    )


def as_allowed_user(folder: Path) -> tuple[str, ...]:
    """Words before each program where this is root, as whom PostgreSQL refuses to run: as Debian's own user for it.

    The folder becomes that user's. For tests and measurements; `hoodside shop serve` asks for another user instead.
    """
    if os.name != "posix" or os.geteuid() != 0:
        return ()
    shutil.chown(folder, "postgres", "postgres")
    return ("setpriv", "--reuid", "postgres", "--regid", "postgres", "--clear-groups")


def private_folder(folder: Path) -> None:
    """The folder made, for the user alone. Raises SetupError."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if stat.S_IMODE(folder.stat().st_mode) & 0o077:
            folder.chmod(0o700)
    except OSError as error:
        raise SetupError(f"The server's folder '{folder}' cannot be used: {error.strerror or error}.") from error


def made_certificate(names: Sequence[str]) -> tuple[bytes, bytes]:
    """Key and certificate for a server of these names, which vouches for itself; PEM."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "the shop's record")])
    now = datetime.now(UTC)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=CERTIFICATE_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(name) for name in names]), critical=False)
        .sign(key, hashes.SHA256())
    )
    return (
        key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()),
        certificate.public_bytes(serialization.Encoding.PEM),
    )
