"""The local server: who is answered, what a file is, ranges, and nothing outside the index."""

import threading
from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from queue import Queue

import pytest

from portal.web.serve import serve_site


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status_code: int
    headers: dict[str, str]
    content: bytes


@dataclass(frozen=True)
class Client:
    """Asks a real server on loopback, sending the path as it stands."""

    port: int

    def ask(self, path: str, *, method: str = "GET", headers: dict[str, str] | None = None) -> Answer:
        """One request on a connection of its own."""
        connection = HTTPConnection("127.0.0.1", self.port, timeout=10)
        connection.request(method, path, headers=headers or {})
        answer = connection.getresponse()
        got = Answer(answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read())
        connection.close()
        return got


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    """A server over a small folder with a secret beside it."""
    top: Path = tmp_path_factory.mktemp("served")
    site = top / "site"
    (site / "parts").mkdir(parents=True)
    (site / "index.html").write_text("<p>front", encoding="utf-8")
    (site / "parts" / "index.html").write_text("<p>parts", encoding="utf-8")
    (site / "viewer.js").write_bytes(b"0123456789")
    (site / ".portal-site.json").write_text("{}", encoding="utf-8")
    (top / "secret.html").write_text("secret", encoding="utf-8")
    said: Queue[str] = Queue()
    threading.Thread(target=serve_site, args=(site,), kwargs={"ready": said.put}, daemon=True).start()
    yield Client(int(said.get(timeout=10).rstrip("/").rpartition(":")[2]))


def test_a_page_comes_with_its_fixed_type_and_is_not_guessed_at(client: Client) -> None:
    """A script is a script whatever the machine's own table says."""
    answer = client.ask("/viewer.js")
    assert answer.headers["content-type"] == "text/javascript; charset=utf-8"
    assert answer.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("path", ["/", "/parts", "/parts/", "/parts/index.html"])
def test_a_folder_answers_with_its_index(client: Client, path: str) -> None:
    """A folder's address gives its index page."""
    assert client.ask(path).status_code == 200


@pytest.mark.parametrize(
    "path",
    ["/../secret.html", "/%2e%2e/secret.html", "/parts/..%2f..%2fsecret.html", "/.portal-site.json", "//etc/passwd"],
)
def test_nothing_outside_the_index_is_served(client: Client, path: str) -> None:
    """A path that the index doesn't hold is not found, whatever it spells."""
    answer = client.ask(path)
    assert answer.status_code == 404
    assert b"secret" not in answer.content


@pytest.mark.parametrize(
    "headers", [{"host": "evil.example"}, {"host": "127.0.0.1:9999"}, {"origin": "http://evil.example"}]
)
def test_a_request_for_another_host_or_from_another_site_is_refused(client: Client, headers: dict[str, str]) -> None:
    """A rebound name and a foreign page get nothing."""
    answer = client.ask("/", headers=headers)
    assert answer.status_code == 421
    assert b"front" not in answer.content


@pytest.mark.parametrize(("asked", "body"), [("bytes=0-1", b"01"), ("bytes=-3", b"789"), ("bytes=4-", b"456789")])
def test_ranges_are_answered_in_part(client: Client, asked: str, body: bytes) -> None:
    """Some browsers play no movie without ranges."""
    answer = client.ask("/viewer.js", headers={"range": asked})
    assert (answer.status_code, answer.content) == (206, body)


def test_nothing_can_be_written(client: Client) -> None:
    """The server of a built site only reads."""
    assert client.ask("/index.html", method="POST").status_code == 405
