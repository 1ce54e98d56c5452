"""Browsers other than Chromium, driven by the standard remote-control protocol with nothing but Python's own library.

Firefox speaks it over a socket of its own, WebKit through the driver that comes with it (W3C WebDriver).
"""

import json
import os
import shutil
import socket
import subprocess
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any, ClassVar, Protocol

ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
"""The key under which the protocol names an element (W3C WebDriver, 12.2)."""
PATIENCE_S = 120


class Driven(Protocol):
    """A browser with one window."""

    def command(self, name: str, values: dict[str, Any]) -> Any:
        """One command of the protocol: `url`, `execute/sync`, `element`, `element/<id>/click`, `element/<id>/value`."""

    def quit(self) -> None:
        """End it."""


def free_port() -> int:
    """A port of the loopback nobody listens on."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


class Firefox:
    """A Firefox without a window, with a profile of its own."""

    NAMES = ("firefox-esr", "firefox")
    _COMMANDS: ClassVar = {
        "url": "WebDriver:Navigate",
        "execute/sync": "WebDriver:ExecuteScript",
        "element": "WebDriver:FindElement",
        "click": "WebDriver:ElementClick",
        "value": "WebDriver:ElementSendKeys",
    }

    def __init__(self, program: str, profile: Path) -> None:
        port = free_port()
        wanted = {"marionette.port": port, "browser.aboutwelcome.enabled": False, "app.update.enabled": False,
                  "datareporting.policy.dataSubmissionEnabled": False}  # fmt: skip
        lines = (f"user_pref({json.dumps(name)}, {json.dumps(value)});\n" for name, value in wanted.items())
        (profile / "user.js").write_text("".join(lines), encoding="utf-8")
        self._process = subprocess.Popen(
            [program, "--headless", "--marionette", "--no-remote", "--profile", str(profile)],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self._number = 0
        self._socket = _connected(port)
        self._read()
        self._send("WebDriver:NewSession", {})

    def command(self, name: str, values: dict[str, Any]) -> Any:
        """One command."""
        _, _, rest = name.partition("/")
        element, _, verb = rest.partition("/") if name.startswith("element/") else ("", "", name)
        return self._send(self._COMMANDS[verb], {**values, "id": element} if element else values)

    def quit(self) -> None:
        """End it."""
        self._socket.close()
        self._process.terminate()
        self._process.wait(PATIENCE_S)

    def _send(self, name: str, values: dict[str, Any]) -> Any:
        self._number += 1
        text = json.dumps([0, self._number, name, values]).encode()
        self._socket.sendall(b"%d:%s" % (len(text), text))
        _, _, error, found = self._read()
        if error:
            raise AssertionError(f"{name}: {error}")
        return found["value"] if isinstance(found, dict) and set(found) == {"value"} else found

    def _read(self) -> Any:
        length, text = b"", b""
        while (one := self._socket.recv(1)) != b":":
            length += one
        while len(text) < int(length):
            text += self._socket.recv(int(length) - len(text))
        return json.loads(text)


class WebKit:
    """The small browser that comes with WebKitGTK; it wants a display, real or made up by `xvfb-run`."""

    NAMES = ("WebKitWebDriver",)

    def __init__(self, program: str, profile: Path) -> None:
        port = free_port()
        self._address = f"http://127.0.0.1:{port}"
        shelter = {"WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1"} if os.geteuid() == 0 else {}
        env = {**os.environ, "HOME": str(profile), **shelter}
        wrapped = [] if os.environ.get("DISPLAY") else ["xvfb-run", "-a", "-s", "-screen 0 1400x1000x24"]
        self._process = subprocess.Popen(
            [*wrapped, program, f"--port={port}"], env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )  # fmt: skip
        _connected(port).close()
        self._session = ""
        self._session = "/session/" + self._send("/session", {"capabilities": {}})["sessionId"]

    def command(self, name: str, values: dict[str, Any]) -> Any:
        """One command."""
        return self._send(f"{self._session}/{name}", values)

    def quit(self) -> None:
        """End it, and the display that was made up for it."""
        self._send(self._session, None)
        os.killpg(self._process.pid, 15)
        self._process.wait(PATIENCE_S)

    def _send(self, path: str, values: dict[str, Any] | None) -> Any:
        request = urllib.request.Request(
            self._address + path,
            method="DELETE" if values is None else "POST",
            data=None if values is None else json.dumps(values).encode(),
            headers={"content-type": "application/json"},
        )
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            raise AssertionError(f"{path}: {error.read().decode()}") from None


def _connected(port: int) -> socket.socket:
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            return socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S)
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.2)


def program_of(kind: type[Firefox] | type[WebKit]) -> str | None:
    """Where it is installed."""
    return next((path for path in map(shutil.which, kind.NAMES) if path), None)
