"""Connections that never ask, ask for ever, or are too many from one machine keep nobody else out."""

import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from queue import Queue

import pytest

from portal.web.patient import Patient
from portal.web.serve import serve_site
from tests.tasks.small import small_catalogue


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """A server with little patience."""
    (folder := tmp_path_factory.mktemp("site")).joinpath("index.html").write_text("<p>front", encoding="utf-8")
    said: Queue[str] = Queue()
    before = Patient.waits_s, Patient.most_of_one
    Patient.waits_s, Patient.most_of_one = 0.3, 12
    threading.Thread(target=serve_site, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    yield int(said.get(timeout=10).rstrip("/").rpartition(":")[2])
    Patient.waits_s, Patient.most_of_one = before


def opened(port: int, sent: bytes = b"") -> socket.socket:
    """A connection on which that was sent."""
    made = socket.create_connection(("127.0.0.1", port), timeout=10)
    if sent:
        made.sendall(sent)
    return made


def is_ended(connection: socket.socket) -> bool:
    """Whether the other side let go of it within its patience, many times over."""
    try:
        return connection.recv(1) == b""
    except ConnectionResetError:
        return True


def status(port: int) -> int:
    """What somebody who asks is told."""
    asking = HTTPConnection("127.0.0.1", port, timeout=10)
    asking.request("GET", "/")
    found = asking.getresponse().status
    asking.close()
    return found


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ",
        b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 900000\r\n\r\n{",
    ],
)
def test_what_never_becomes_a_request_is_ended(port: int, sent: bytes) -> None:
    """Nothing sent, half a header, a body that doesn't come; even with a byte more now and then."""
    connection = opened(port, sent)
    ends = time.monotonic() + 8
    ended = False
    connection.settimeout(0.1)
    while not ended and time.monotonic() < ends:
        try:
            if sent:
                connection.sendall(b"a")
            ended = connection.recv(1000) == b""
        except TimeoutError:
            continue
        except OSError:
            ended = True
    connection.close()
    assert ended
    assert status(port) == 200


def test_who_asks_now_and_then_may_stay(port: int) -> None:
    """On one connection, for longer than the patience for one request."""
    asking = HTTPConnection("127.0.0.1", port, timeout=10)
    asking.connect()
    own = asking.sock
    for _ in range(8):
        time.sleep(0.2)
        asking.request("GET", "/")
        answer = asking.getresponse()
        assert answer.status == 200 and answer.read() == b"<p>front"
    assert asking.sock is own
    asking.close()


def test_one_machine_has_only_so_many(port: int) -> None:
    """Those above are ended at once, and once some are given back there is room again."""
    many = [opened(port) for _ in range(40)]
    ended = sum(is_ended(each) for each in many[12:])
    assert ended == 28
    for each in many:
        each.close()
    for _ in range(100):
        try:
            assert status(port) == 200
            break
        except (ConnectionError, OSError):
            time.sleep(0.05)
    else:
        raise AssertionError("nobody is answered any more")


ASKED = """
import socket, sys, threading, time
from pathlib import Path
from queue import Queue
from portal.bench.run import run_bench
said = Queue()
threading.Thread(target=run_bench, args=(Path(sys.argv[1]),), kwargs={"ready": said.put}, daemon=True).start()
port = int(said.get(timeout=30).rstrip("/").rpartition(":")[2])
ask = lambda sent: socket.create_connection(("127.0.0.1", port)).sendall(sent)
import http.client, re
page = http.client.HTTPConnection("127.0.0.1", port); page.request("GET", "/")
token = re.search(rb'"token":"([^"]+)"', page.getresponse().read())[1]
host = b"Host: 127.0.0.1:%d\\r\\n" % port
ask(b"POST /api/save HTTP/1.1\\r\\n" + host + b"Content-Type: application/json\\r\\nX-Portal-Token: " + token
    + b"\\r\\nContent-Length: 90\\r\\n\\r\\n{")
ask(b"\\x16\\x03\\x01\\x02")
ask(b"GET / HTTP/1.1\\r\\n" + host + b"Connection: Upgrade\\r\\nUpgrade: websocket\\r\\n\\r\\n")
time.sleep(1)
"""


def test_what_strangers_send_is_not_told_on_the_terminal(tmp_path: Path) -> None:
    """No trace of a request that ended early, no advice to install something."""
    folder = small_catalogue(tmp_path / "c")
    done = subprocess.run([sys.executable, "-c", ASKED, str(folder)], capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")
