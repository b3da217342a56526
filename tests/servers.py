"""A PostgreSQL server of the tests' own, on loopback, in a folder that goes with it."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def postgres_programs() -> Path:
    """The folder with initdb and pg_ctl. Fails where PostgreSQL is not installed: no test may be left out."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    assert on_path is not None, "PostgreSQL's server programs are missing: install the package postgresql"
    return Path(on_path).parent


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


@contextmanager
def postgres() -> Iterator[str]:
    """A running server; its address without a database, as in 'postgresql://postgres@127.0.0.1:50000'."""
    programs, port = postgres_programs(), free_port()
    as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    with tempfile.TemporaryDirectory(prefix="wheelside-pg-", dir="/tmp") as name:
        folder = Path(name)
        if as_user:
            folder.chmod(0o755)
            shutil.chown(folder, "postgres", "postgres")

        def run(*command: object) -> None:
            done = subprocess.run(
                [*as_user, *(str(c) for c in command)],
                cwd=folder,
                capture_output=True,
                text=True,
                timeout=60,
                check=False,
            )
            assert done.returncode == 0, done.stdout + done.stderr

        data = folder / "data"
        run(
            programs / "initdb", "-D", data, "-A", "trust", "-U", "postgres", "--no-sync", "-E", "UTF8", "--locale=C.UTF-8"
        )  # fmt: skip
        options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c max_connections=60"
        run(programs / "pg_ctl", "-D", data, "-l", folder / "log", "-w", "-o", options, "start")
        try:
            yield f"postgresql://postgres@127.0.0.1:{port}"
        finally:
            run(programs / "pg_ctl", "-D", data, "-m", "immediate", "stop")


def new_database(server: str, name: str) -> str:
    """The address of a new, empty database."""
    import psycopg

    with psycopg.connect(f"{server}/postgres", autocommit=True) as conn:
        conn.execute(f'CREATE DATABASE "{name}"')
    return f"{server}/{name}"
