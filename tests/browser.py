"""A real browser without a window, steered through a pipe by the DevTools protocol."""

import base64
import fcntl
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

FLAGS = (
    "--headless",
    "--disable-gpu",
    "--no-first-run",
    "--no-sandbox",
    "--hide-scrollbars",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    "--disable-dev-shm-usage",
    "--remote-debugging-pipe",
)


class Browser:
    """One Chromium with a folder of its own and one page; what it does is written down."""

    def __init__(self) -> None:
        self._folder = tempfile.mkdtemp()
        to_browser, self._write = os.pipe()
        self._read, from_browser = os.pipe()

        def wire() -> None:
            """The protocol is spoken on descriptors 3 and 4; get them there past each other."""
            reads = fcntl.fcntl(to_browser, fcntl.F_DUPFD, 10)
            writes = fcntl.fcntl(from_browser, fcntl.F_DUPFD, 10)
            os.dup2(reads, 3)
            os.dup2(writes, 4)

        program = shutil.which("chromium") or "chromium"
        self._process = subprocess.Popen(
            [program, *FLAGS, f"--user-data-dir={self._folder}", "about:blank"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            preexec_fn=wire,
            close_fds=False,
        )
        os.close(to_browser)
        os.close(from_browser)
        self._rest, self._number, self._session = b"", 0, None
        self.console: list[str] = []
        self.requests: list[str] = []
        targets = self.ask("Target.getTargets")["targetInfos"]
        page = next(t["targetId"] for t in targets if t["type"] == "page")
        attached = self.ask("Target.attachToTarget", targetId=page, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.ask(f"{domain}.enable")

    def ask(self, method: str, **params: Any) -> Any:
        """One call of the protocol and its answer."""
        self._number += 1
        call = {"id": self._number, "method": method, "params": params}
        if self._session is not None:
            call["sessionId"] = self._session
        os.write(self._write, json.dumps(call).encode() + b"\0")
        while True:
            heard = self._hear()
            if heard.get("id") == self._number:
                assert "error" not in heard, heard["error"]
                return heard["result"]

    def open(self, address: str, *, width: int, dark: bool = False) -> None:
        """Load a page at a width of a telephone."""
        scheme = [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]
        self.ask("Emulation.setEmulatedMedia", features=scheme)
        self.ask(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=780,
            deviceScaleFactor=2,
            mobile=True,
        )
        self.ask("Page.navigate", url=address)
        while self._hear().get("method") != "Page.loadEventFired":
            pass

    def value(self, script: str) -> Any:
        """What an expression is in the page."""
        found = self.ask("Runtime.evaluate", expression=script, returnByValue=True)
        assert "exceptionDetails" not in found, found
        return found["result"].get("value")

    def picture(self, path: Path) -> None:
        """The whole page as a PNG file."""
        shot = self.ask("Page.captureScreenshot", captureBeyondViewport=True)
        path.write_bytes(base64.b64decode(shot["data"]))

    def printed(self, path: Path) -> None:
        """The page as it is printed on A4, as a PDF file."""
        made = self.ask("Page.printToPDF", paperWidth=8.27, paperHeight=11.69)
        path.write_bytes(base64.b64decode(made["data"]))

    def listen(self, seconds: float) -> None:
        """Wait, writing down what the page does meanwhile."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            if select.select([self._read], [], [], 0.05)[0]:
                self._hear()

    def close(self) -> None:
        """End the browser and take its folder away."""
        os.close(self._write)
        os.close(self._read)
        self._process.terminate()
        self._process.wait(10)
        shutil.rmtree(self._folder, ignore_errors=True)

    def _hear(self) -> dict[str, Any]:
        while b"\0" not in self._rest:
            assert select.select([self._read], [], [], 60)[0], "the browser says nothing"
            more = os.read(self._read, 1 << 20)
            assert more, "the browser has ended"
            self._rest += more
        one, self._rest = self._rest.split(b"\0", 1)
        heard: dict[str, Any] = json.loads(one)
        what, about = heard.get("method"), heard.get("params", {})
        if what == "Network.requestWillBeSent":
            self.requests.append(about["request"]["url"])
        elif what == "Log.entryAdded":
            self.console.append(about["entry"]["text"])
        elif what == "Runtime.consoleAPICalled":
            self.console.append(str(about["args"]))
        return heard
