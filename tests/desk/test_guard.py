"""Nobody gets in who does not belong, and nothing leads out of the folder.

Attacks as OWASP's Web Security Testing Guide 4.2 names them: host header (4.7.17), cross-site request forgery
(4.6.5), path traversal (4.5.1), and requests that are too large (4.10.8)."""

from __future__ import annotations

import http.client
import os
import re
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import uvicorn
from desk.desk_client import HOST, PORT, Client, TestClient, demo_folder

from partsolver.desk import guard, serve
from partsolver.desk.app import _GET, _POST, application
from partsolver.desk.folder import Folder


@pytest.fixture
def client(tmp_path: Path) -> Client:
    return Client(demo_folder(tmp_path))


def test_foreign_host_origin_and_missing_token_are_refused(client: Client) -> None:
    for host in (
        "evil.example",
        "evil.example:4711",
        "127.0.0.1",
        "127.0.0.1:1",
        f"localhost.evil.example:{PORT}",
    ):
        assert client.http.get("/", headers={"host": host}).status_code == 421
    data = {"token": client.desk.session.form_token, "title": "x"}
    for origin in ("http://evil.example", "null", f"https://{HOST}", "http://127.0.0.1:1"):
        assert client.http.post("/new", data=data, headers={"origin": origin}).status_code == 403
    assert client.http.post("/new", data=data).status_code == 403  # no Origin at all: no browser's form
    assert client.http.get("/", headers={"origin": "http://evil.example"}).status_code == 403
    own = {"origin": f"http://{HOST}"}
    assert client.http.post("/new", data={"title": "x"}, headers=own).status_code == 403
    assert client.http.post("/new", data={"title": "x", "token": "0" * 64}, headers=own).status_code == 403
    stranger = TestClient(application(client.desk), base_url=f"http://{HOST}")
    for address in ("/", "/pc/choir", "/parts", "/?t=wrong", "/nowhere"):
        assert stranger.get(address).status_code == 403
    assert client.folder.joinpath("x.toml").exists() is False


def test_every_screen_asks_for_token_and_form_token(client: Client) -> None:
    stranger = TestClient(application(client.desk), base_url=f"http://{HOST}")
    for path, _ in (*_GET, *_POST):
        address = path.replace("{name}", "choir").replace("{part}", "brunnach-b10m")
        assert stranger.get(address).status_code == 403
    for path, _ in _POST:
        address = path.replace("{name}", "choir")
        assert (
            client.http.post(address, data={"title": "x"}, headers={"origin": f"http://{HOST}"}).status_code
            == 403
        )


def test_the_policy_allows_nothing_inline_and_nothing_from_outside(client: Client) -> None:
    for address in ("/", "/pc/choir", "/parts", "/pc/choir/ask?at=psu.main_plug&warned=1"):
        answer = client.http.get(address)
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy and "http" not in policy
        assert not re.search(r"<style|\sstyle=|<script>|\son[a-z]+=|https?://", answer.text)
        assert answer.headers["x-content-type-options"] == "nosniff"
    cookie = TestClient(application(client.desk), base_url=f"http://{HOST}").get(
        "/", params={"t": client.desk.session.token}, follow_redirects=False
    )
    assert "HttpOnly" in cookie.headers["set-cookie"] and "SameSite=strict" in cookie.headers["set-cookie"]
    assert client.desk.session.token not in cookie.headers["location"]
    away = client.http.get("//evil.example/", params={"t": client.desk.session.token}, follow_redirects=False)
    assert not away.headers.get("location", "/").startswith("//")


@pytest.mark.parametrize(
    "name",
    [
        "../choir",
        "..%2fchoir",
        "%2e%2e%2fsecret",
        "partsolver",
        "choir.answers",
        "secret",
        "choir%00",
        "x" * 5000,
    ],
)
def test_no_name_leads_out_of_the_folder(client: Client, name: str) -> None:
    (client.folder.parent / "secret.toml").write_text("[pc]\nname = 'secret'\n", encoding="utf-8")
    (client.folder / "partsolver.toml").write_text("", encoding="utf-8")
    for rest in ("", "/ask", "/wishes", "/answers", "/owner", "/sheet.html", "/bench"):
        answer = client.http.get(f"/pc/{name}{rest}")
        assert answer.status_code in (400, 403, 404) and "secret.toml" not in answer.text


def test_a_link_out_of_the_folder_is_no_pc(client: Client) -> None:
    outside = client.folder.parent / "outside.toml"
    outside.write_bytes((client.folder / "choir.toml").read_bytes())
    os.symlink(outside, client.folder / "linked.toml")
    assert Folder(client.folder).names() == ["choir"]
    assert client.http.get("/pc/linked").status_code == 404


def test_names_of_files_and_parts_are_data(client: Client) -> None:
    files = [("files", ("../../../<script>alert(1)</script>.txt", b"nothing that a tool prints"))]
    before = sorted(path.name for path in client.folder.parent.iterdir())
    page = client.post("/pc/choir/import", 400, files=files)
    assert "<script>alert" not in page
    client.post("/new", title='<b>bold</b> & "quoted"')
    assert "<b>bold" not in client.get("/")
    assert sorted(path.name for path in client.folder.parent.iterdir()) == before


def test_too_large_bodies_are_refused_without_being_kept(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(guard, "MOST_BODY_BYTES", 100_000)
    files = [("files", ("big.txt", b"x" * 200_000))]
    client.post("/pc/choir/import", 413, files=files)

    def pieces() -> Iterator[bytes]:
        for _ in range(40):
            yield b"x" * 10_000

    answer = client.http.post(
        "/new",
        content=pieces(),
        headers={"origin": f"http://{HOST}", "content-type": "application/x-www-form-urlencoded"},
    )
    assert answer.status_code == 413
    fields = {f"f{i}": "x" for i in range(600)}
    client.post("/pc/choir/wishes", 400, **fields)


def test_odd_requests_get_a_page_and_no_traceback(client: Client) -> None:
    own = {"origin": f"http://{HOST}"}
    for kind, body in (
        ("multipart/form-data", b"--x"),
        ("multipart/form-data; boundary=x", b"--x\r\nbroken"),
        ("application/json", b"{}"),
        ("text/plain", b"a=b"),
    ):
        answer = client.http.post("/pc/choir/wishes", content=body, headers={**own, "content-type": kind})
        assert answer.status_code in (400, 403, 415) and "Traceback" not in answer.text
    for address in (
        "/pc/choir/bench?step=99999999999",
        "/pc/choir/ask?at=x%5B9%5D.y",
        "/pc/choir/ask?at=drive%5B77%5D.kind",
        "/pc/choir/why?part=%00%ff",
        "/static/../desk/app.py",
        "/static/app.py",
    ):
        answer = client.http.get(address)
        assert answer.status_code in (200, 400, 404), address
        assert "Traceback" not in answer.text and "internal fault" not in answer.text
    for method in ("PUT", "DELETE", "TRACE"):
        assert client.http.request(method, "/", headers=own).status_code == 405


def test_a_fault_of_ours_shows_nothing_of_the_inside(
    client: Client, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(type(client.desk.folder), "names", lambda self: 1 / 0)
    page = client.get("/", 500)
    assert "division" not in page and "ZeroDivisionError" not in page
    assert "internal fault: ZeroDivisionError" in capsys.readouterr().err


def test_a_phone_gets_in_by_its_code_and_ten_wrong_ones_end_it(tmp_path: Path) -> None:
    for wrong, right in ((3, True), (guard.MOST_CODES, False)):
        place = tmp_path / str(wrong)
        place.mkdir()
        client = Client(demo_folder(place), code="12345678")
        phone = TestClient(application(client.desk), base_url=f"http://{HOST}")
        for number in range(wrong):
            assert phone.get("/", params={"code": f"{number:08d}"}).status_code == 403
        answer = phone.get("/", params={"code": "1234 5678"})
        assert (answer.status_code == 200) is right


# -- a real server -----------------------------------------------------------------------------------------------------


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[Path, int, str, subprocess.Popen[str]]]:
    demo_folder(tmp_path)
    process = subprocess.Popen(
        [sys.executable, "-m", "partsolver", "desk", str(tmp_path), "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    lines = [process.stdout.readline(), process.stdout.readline()]
    found = re.search(r"http://127\.0\.0\.1:(\d+)/\?t=(\S+)", "".join(lines))
    assert found is not None, (lines, process.poll())
    yield tmp_path, int(found[1]), found[2], process
    process.kill()
    process.wait()


def _ask(port: int, address: str, token: str) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", address, headers={"Cookie": f"partsolver-{port}={token}"})
    status = connection.getresponse().status
    connection.close()
    return status


def test_a_hundred_requests_at_once_are_served_or_refused(
    served: tuple[Path, int, str, subprocess.Popen[str]],
) -> None:
    _, port, token, _ = served
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            assert _ask(port, "/", token) == 200
            break
        except ConnectionRefusedError:
            time.sleep(0.1)
    slow = http.client.HTTPConnection("127.0.0.1", port, timeout=60)  # says that a body comes, and sends none
    slow.putrequest("POST", "/new")
    slow.putheader("Content-Length", "1000")
    slow.endheaders()
    with ThreadPoolExecutor(50) as pool:
        found = list(pool.map(lambda _: _ask(port, "/", token), range(100)))
    assert set(found) <= {200, 503} and found.count(200) >= 50
    slow.close()
    huge = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    huge.putrequest("POST", "/new")
    huge.putheader("Origin", f"http://127.0.0.1:{port}")
    huge.putheader("Cookie", f"partsolver-{port}={token}")
    huge.putheader("Content-Length", str(10**9))
    huge.endheaders()
    assert huge.getresponse().status == 413  # said before a byte of it is read
    huge.close()


@pytest.fixture
def quick(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Client, int]]:
    """A server in this process that waits a moment only."""
    monkeypatch.setattr(serve, "MOST_HEAD_S", 0.5)
    monkeypatch.setattr(guard, "MOST_BODY_S", 0.5)
    client = Client(demo_folder(tmp_path))
    listening = socket.create_server(("127.0.0.1", 0))
    client.desk.session.port = listening.getsockname()[1]
    server = uvicorn.Server(serve.server_config(client.desk))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    yield client, client.desk.session.port
    server.should_exit = True
    thread.join(30)


def _dripped(port: int, begun: bytes, drop: bytes) -> bytes:
    """What a server answers who sends a piece of a request every tenth of a second; it gives up after a
    minute."""
    with socket.create_connection(("127.0.0.1", port), timeout=60) as connection:
        connection.sendall(begun)
        connection.settimeout(0.1)
        for _ in range(600):
            try:
                said = connection.recv(65536)
            except TimeoutError:
                connection.sendall(drop)
                continue
            except ConnectionError:
                return b""
            return said
    raise AssertionError("never cut off")


def test_who_sends_slowly_is_cut_off(quick: tuple[Client, int]) -> None:
    """Slow heads and slow bodies (OWASP, "Denial of Service Cheat Sheet": limits of time for both)."""
    client, port = quick
    cookie = f"Cookie: partsolver-{port}={client.desk.session.token}\r\n".encode()
    host = f"Host: 127.0.0.1:{port}\r\n".encode()
    begun = b"GET / HTTP/1.1\r\n" + host
    assert _dripped(port, b"", b"G") == b""  # closed without a word: not one line came
    assert _dripped(port, begun, b"X-A: b\r\n") == b""
    origin = f"Origin: http://127.0.0.1:{port}\r\n".encode()
    form = b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 100000\r\n\r\n"
    said = _dripped(port, b"POST /new HTTP/1.1\r\n" + host + cookie + origin + form, b"a")
    assert said.startswith(b"HTTP/1.1 413")
    # Who sends a whole head is not cut off, also on a connection that was used before.
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    for _ in range(2):
        connection.request("GET", "/static/desk.css")
        assert connection.getresponse().read()
        time.sleep(0.7)


def test_the_desk_listens_on_loopback_only_and_killing_it_loses_no_answer(
    served: tuple[Path, int, str, subprocess.Popen[str]],
) -> None:
    folder, port, token, process = served
    # All of 127.0.0.0/8 is this machine (RFC 1122, 3.2.1.3): who listens on every address answers there too.
    with pytest.raises(OSError):
        socket.create_connection(("127.0.0.2", port), timeout=5)
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    head = {"Cookie": f"partsolver-{port}={token}", "Origin": f"http://127.0.0.1:{port}"}
    connection.request("GET", "/pc/choir/ask?at=psu.rated_w&warned=1", headers=head)
    page = connection.getresponse().read().decode()
    form = re.search(r'name="token" value="([^"]*)"', page)
    assert form is not None
    connection.request(
        "POST",
        "/pc/choir/ask",
        body=f"token={form[1]}&path=psu.rated_w&answer=444&unit=W&was=430",
        headers={**head, "Content-Type": "application/x-www-form-urlencoded"},
    )
    assert connection.getresponse().status == 303
    process.kill()
    process.wait()
    assert "rated_w = 444" in (folder / "choir.toml").read_text(encoding="utf-8")
    assert not [path for path in folder.iterdir() if path.name.endswith(".part")]
