"""A PostgreSQL server of the tests' own: on a socket in a folder of its own, gone with them."""

import os
import pwd
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

DEBIAN = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
SETTINGS = "-c listen_addresses='' -c unix_socket_permissions=0777 -c max_connections=40"


def programs() -> Path | None:
    """The folder of the server's programs."""
    found = shutil.which("initdb")
    folders = [*([Path(found).resolve().parent] if found else []), *DEBIAN]
    return next((folder for folder in folders if (folder / "pg_ctl").exists()), None)


def owner() -> str | None:
    """Who runs the server: it refuses to run as root. None when nobody can."""
    me = pwd.getpwuid(os.getuid()).pw_name
    if os.getuid():
        return me
    return next((name for name in ("postgres", "nobody") if _is_user(name)), None)


def _is_user(name: str) -> bool:
    try:
        return bool(pwd.getpwnam(name).pw_uid)
    except KeyError:
        return False


@dataclass(frozen=True)
class Server:
    """A server, by the folder that holds all of it."""

    folder: Path
    binaries: Path
    user: str

    @property
    def url(self) -> str:
        """The address of its database."""
        return f"postgres://{self.user}@/postgres?host={self.folder}"

    def run(self, program: str, *arguments: str) -> None:
        """Run one of its programs as its owner."""
        as_owner = {} if os.getuid() else self._as_owner()
        with (self.folder / "said.txt").open("ab") as said:
            subprocess.run(
                [self.binaries / program, *arguments], check=True, timeout=60, cwd=self.folder,
                stdin=subprocess.DEVNULL, stdout=said, stderr=said, **as_owner,
            )  # fmt: skip

    def _as_owner(self) -> dict:
        entry = pwd.getpwnam(self.user)
        return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}

    def start(self) -> None:
        options = f"{SETTINGS} -k {self.folder}"
        data, log = str(self.folder / "data"), str(self.folder / "log.txt")
        self.run("pg_ctl", "start", "-w", "-D", data, "-l", log, "-o", options)

    def stop(self, mode: str = "immediate") -> None:
        self.run("pg_ctl", "stop", "-w", "-D", str(self.folder / "data"), "-m", mode)


def made() -> Server:
    """A server that runs, in a new folder; a reason as a LookupError where there can be none."""
    binaries, user = programs(), owner()
    if binaries is None:
        raise LookupError("no PostgreSQL server is installed")
    if user is None:
        raise LookupError("nobody but root is there to run PostgreSQL")
    folder = Path(tempfile.mkdtemp(prefix="rasterc-pg-"))
    server = Server(folder, binaries, user)
    try:
        if not os.getuid():
            shutil.chown(folder, user)
        (folder / "said.txt").touch()
        data = str(folder / "data")
        server.run("initdb", "-D", data, "-U", user, "-A", "trust", "-E", "UTF8", "--locale=C")
        server.start()
    except BaseException:
        shutil.rmtree(folder)
        raise
    return server


def ended(server: Server) -> None:
    """Stop a server and delete all of it."""
    try:
        server.stop()
    finally:
        shutil.rmtree(server.folder)
