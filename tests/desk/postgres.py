"""A real PostgreSQL in a temporary folder: started, killed, restarted; and a way to it that can be cut."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import socket
import subprocess
import threading
import time
from pathlib import Path
from urllib.parse import quote


def programs() -> Path | None:
    """The folder of the server's programs; None where there is no server."""
    found = shutil.which("postgres")
    places = [Path(found).resolve().parent] if found else []
    places += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((place for place in places if (place / "initdb").exists()), None)


def _account() -> str | None:
    """The account to run as: the server refuses to run as the system's administrator."""
    if os.name == "nt" or os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        with contextlib.suppress(KeyError):
            pwd.getpwnam(name)
            return name
    return None


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


class Postgres:
    """One server with its own data folder.

    Args:
        folder: an empty folder of its own; short, since its socket lies there.
        sync: whether commits reach the disk before they are told done, as in real use.
    """

    def __init__(self, folder: Path, sync: bool = False) -> None:
        bin_folder = programs()
        assert bin_folder is not None
        self._bin = bin_folder
        self._as = _account()
        self.folder = folder
        self.port = free_port()
        self._process: subprocess.Popen[bytes] | None = None
        if self._as:
            shutil.chown(folder, self._as)
        self._run("initdb", "--no-sync", "--auth=trust", "--username=desk", "--encoding=UTF8", "--locale=C.UTF-8",
                  "-D", str(self._data))  # fmt: skip
        rules = "host all with_password 127.0.0.1/32 scram-sha-256\n"
        hba = self._data / "pg_hba.conf"
        hba.write_text(rules + hba.read_text(encoding="utf-8"), encoding="utf-8")
        settings = {
            "port": self.port, "listen_addresses": "'127.0.0.1'", "unix_socket_directories": f"'{folder}'",
            "fsync": "on" if sync else "off", "max_connections": 150, "shared_buffers": "256MB",
            "logging_collector": "off", "autovacuum_naptime": "10s", "max_wal_size": "2GB",
        }  # fmt: skip
        with (self._data / "postgresql.conf").open("a", encoding="utf-8") as conf:
            conf.writelines(f"{key} = {value}\n" for key, value in settings.items())
        self.start()

    @property
    def _data(self) -> Path:
        return self.folder / "data"

    def _run(self, name: str, *arguments: str) -> None:
        done = subprocess.run(
            [str(self._bin / name), *arguments],
            user=self._as,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            cwd=self.folder,
            env={"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8"},
            check=False,
        )
        assert done.returncode == 0, done.stderr

    def start(self) -> None:
        """Start it and wait until it answers."""
        import psycopg

        with (self.folder / "log").open("ab") as log:
            self._process = subprocess.Popen([str(self._bin / "postgres"), "-D", str(self._data)], user=self._as,
                                             stdout=log, stderr=log, cwd=self.folder)  # fmt: skip
        end = time.monotonic() + 60
        while True:
            try:
                psycopg.connect(self.address("postgres")).close()
                return
            except psycopg.OperationalError:
                if time.monotonic() > end or self._process.poll() is not None:
                    raise
                time.sleep(0.02)

    def kill(self) -> None:
        """End it at once, as a crash would: nothing is finished or tidied up."""
        self._run("pg_ctl", "stop", "-m", "immediate", "-D", str(self._data))
        assert self._process is not None
        self._process.wait()

    def stop(self) -> None:
        """End it for good."""
        self._run("pg_ctl", "stop", "-m", "fast", "-D", str(self._data))
        assert self._process is not None
        self._process.wait()

    def address(self, database: str, user: str = "desk", port: int = 0) -> str:
        """The address of a database; by the socket in its folder, or by a port of this machine."""
        where = f"127.0.0.1:{port}" if port else ""
        tail = "" if port else f"?host={quote(str(self.folder), safe='')}&port={self.port}"
        return f"postgresql://{user}@{where}/{database}{tail}"

    def sql(self, database: str, *statements: str, user: str = "desk") -> list[tuple[object, ...]]:
        """Run statements one by one; the rows of the last."""
        import psycopg

        with psycopg.connect(self.address(database, user), autocommit=True) as line:
            for statement in statements:
                found = line.execute(statement.encode())
            return found.fetchall() if found.description else []


class Cable:
    """A way to the server that can be cut: silently, so that nothing arrives any more, or with a bang."""

    def __init__(self, port: int) -> None:
        self._to = port
        self._open = threading.Event()
        self._open.set()
        self._pairs: list[tuple[socket.socket, socket.socket]] = []
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._door.getsockname()[1])
        self._refuse = False
        threading.Thread(target=self._listen, daemon=True).start()

    def silence(self) -> None:
        """Nothing gets through any more, and nobody is told."""
        self._open.clear()

    def cut(self) -> None:
        """Every connection breaks, and new ones are turned away."""
        self._refuse = True
        self._break()

    def mend(self) -> None:
        """As before; what was silenced is gone."""
        self._break()
        self._refuse = False
        self._open.set()

    def close(self) -> None:
        """Take it down."""
        self._door.close()
        self._open.set()
        self._break()

    def _break(self) -> None:
        pairs, self._pairs = self._pairs, []
        for pair in pairs:
            for end in pair:
                with contextlib.suppress(OSError):
                    end.shutdown(socket.SHUT_RDWR)
                end.close()

    def _listen(self) -> None:
        while True:
            try:
                inside, _ = self._door.accept()
            except OSError:
                return
            if self._refuse:
                inside.close()
                continue
            try:
                outside = socket.create_connection(("127.0.0.1", self._to))
            except OSError:
                inside.close()
                continue
            self._pairs.append((inside, outside))
            for one, other in ((inside, outside), (outside, inside)):
                threading.Thread(target=self._pass_on, args=(one, other), daemon=True).start()

    def _pass_on(self, one: socket.socket, other: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while data := one.recv(65536):
                if not self._open.is_set():
                    return  # swallowed; the ends stay open
                other.sendall(data)
        for end in (one, other):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
