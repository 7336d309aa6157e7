"""A real broker on loopback, started and ended by the test that needs it."""

import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

START_S = 30  # a busy machine is slow, not wrong


def free_port() -> int:
    """A port of loopback that nobody uses now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Mosquitto:
    """One broker process of this test, keeping its sessions in a folder of the test."""

    def __init__(
        self,
        folder: Path,
        *,
        password: tuple[str, str] | None = None,
        certificate: tuple[Path, Path] | None = None,
    ) -> None:
        self.port = free_port()
        self.folder = folder
        self.process: subprocess.Popen[bytes] | None = None
        lines = [
            "user root",  # counts only if the tests run as root: keep access to this folder
            f"listener {self.port} 127.0.0.1",
            "persistence true",
            f"persistence_location {folder}/",
            "max_queued_messages 0",
            "log_dest none",
        ]
        if certificate is not None:
            lines += [f"certfile {certificate[0]}", f"keyfile {certificate[1]}"]
        if password is None:
            lines.append("allow_anonymous true")
        else:
            users = folder / "users"
            program = shutil.which("mosquitto_passwd") or "mosquitto_passwd"
            subprocess.run([program, "-c", "-b", str(users), *password], check=True)
            lines += ["allow_anonymous false", f"password_file {users}"]
        (folder / "broker.conf").write_text("\n".join(lines) + "\n")

    def start(self) -> None:
        program = shutil.which("mosquitto") or "/usr/sbin/mosquitto"
        self.process = subprocess.Popen(
            [program, "-c", str(self.folder / "broker.conf")],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        end = time.monotonic() + START_S
        while time.monotonic() < end:
            try:
                socket.create_connection(("127.0.0.1", self.port), 0.2).close()
                return
            except OSError:
                time.sleep(0.02)
        raise AssertionError("the broker did not start")

    def stop(self, *, kill: bool = False) -> None:
        if self.process is not None:
            if kill:
                self.process.kill()
            else:
                self.process.terminate()
            self.process.wait(START_S)
            self.process = None


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Mosquitto]:
    """A broker that runs."""
    folder = tmp_path / "broker"
    folder.mkdir()
    made = Mosquitto(folder)
    made.start()
    yield made
    made.stop()
