"""The push example of the guide, run as it is written against an HTTP server on loopback."""

import http.server
import re
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

PAGE = Path(__file__).resolve().parents[2] / "docs" / "guide" / "phone-and-house.md"
NOW = "2026-11-25T18:00:00Z"


class Inbox(http.server.BaseHTTPRequestHandler):
    """Takes a POST and keeps it, or answers that it is out of order."""

    got: list[tuple[str, str]] = []
    status = 200

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        if self.status == 200:
            title = self.headers["Title"].encode("latin-1").decode("utf-8")
            self.got.append((title, body.decode("utf-8")))
        self.send_response(self.status)
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:
        return


@pytest.fixture
def inbox() -> Iterator[tuple[type[Inbox], str]]:
    Inbox.got, Inbox.status = [], 200
    server = http.server.HTTPServer(("127.0.0.1", 0), Inbox)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield Inbox, f"http://127.0.0.1:{server.server_address[1]}/cellar"
    server.shutdown()
    server.server_close()


@pytest.mark.external("curl")
def test_each_new_alert_is_one_message_and_a_failed_one_is_sent_again(
    inbox: tuple[type[Inbox], str], tmp_path: Path
) -> None:
    taken, address = inbox
    (script,) = re.findall(r"^```sh\n(.*?)^```", PAGE.read_text(encoding="utf-8"), re.M | re.S)
    push = tmp_path / "push"
    push.write_text(script)
    push.chmod(0o755)
    db = str(tmp_path / "demo.db")

    def curedash(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "curedash", "--db", db, "--now", NOW, *words],
            env={"PATH": "/usr/bin:/bin", "HOME": str(tmp_path), "PUSH_URL": address},
            capture_output=True,
            text=True,
            check=False,
        )

    curedash("demo", "--build", db)
    curedash("note", "H1", '@/etc/passwd $(id) ; "quoted"')
    taken.status = 503
    first = curedash("watch", "--once", "--exec", str(push))
    assert "tried again at the next check" in first.stderr
    assert taken.got == []
    taken.status = 200
    second = curedash("watch", "--once", "--exec", str(push))
    told = second.stdout.splitlines()
    assert len(taken.got) == len([line for line in told if re.match(r"(now|today)\b", line)]) > 3
    title, body = taken.got[0]
    assert title == "curedash act: H1"
    assert body.startswith("in the salt box")
    curedash("watch", "--once", "--exec", str(push))
    assert len(taken.got) == len(set(taken.got))
