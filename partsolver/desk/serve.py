"""Start the desk: on loopback, or on the local network where that is asked for."""

from __future__ import annotations

import asyncio
import errno
import secrets
import socket
import webbrowser
from collections.abc import Callable, Sequence
from pathlib import Path

import h11
import segno
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from partsolver.base.errors import refuse
from partsolver.desk.app import application
from partsolver.desk.folder import Folder
from partsolver.desk.frame import Desk
from partsolver.desk.guard import Session
from partsolver.desk.warm import Warm
from partsolver.report.words import desk as words

LOOPBACK = "127.0.0.1"
# Connections at once, and seconds that an idle one is kept: one person with a phone and a screen needs ten.
MOST_CONNECTIONS, IDLE_S = 128, 15
# Seconds for the lines of a request before its body.
MOST_HEAD_S = 10.0


def make_desk(
    folder: Path,
    hosts: Sequence[str],
    port: int,
    usual_use: str | None = None,
    usual_catalog: Path | None = None,
    code: str | None = None,
) -> Desk:
    """The desk of a folder. Raises InputRefused where there is no such folder."""
    if folder.is_file():
        raise refuse(
            str(folder),
            "a file, not a folder",
            hint=f"Name the folder that it lies in: {folder.resolve().parent}",
        )
    if not folder.is_dir():
        raise refuse(str(folder), "no such folder", hint="Make it first, or name one that is there")
    own = Folder(folder)
    return Desk(own, Session(hosts, port, code=code), Warm(own, usual_use, usual_catalog))


def serve(
    folder: Path,
    port: int,
    lan: bool,
    browser: bool,
    say: Callable[[str], None],
    usual_use: str | None = None,
    usual_catalog: Path | None = None,
) -> None:
    """Serve until interrupted. ``say``: prints a line for the person who started it."""
    address = _own_address() if lan else None
    listening = _listening(address or LOOPBACK, port)
    port = listening.getsockname()[1]
    hosts = [LOOPBACK, "localhost", *([address] if address else [])]
    code = f"{secrets.randbelow(10**8):08d}" if address else None
    desk = make_desk(folder, hosts, port, usual_use, usual_catalog, code)
    link = f"http://{address or LOOPBACK}:{port}/?t={desk.session.token}"
    say(words.opened(str(desk.folder.root), link))
    if address is not None and code is not None:
        say(words.lan_warning(f"http://{address}:{port}/", f"{code[:4]} {code[4:]}"))
        say(_qr(link))
    if browser:
        webbrowser.open(link)
    try:
        uvicorn.Server(server_config(desk)).run(sockets=[listening])
    finally:
        desk.warm.pool.close()


def server_config(desk: Desk) -> uvicorn.Config:
    """How the desk is served: with limits on connections, on heads, and on the time that anybody may take."""
    return uvicorn.Config(
        application(desk),
        log_level="error",
        access_log=False,
        server_header=False,
        date_header=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=IDLE_S,
        timeout_graceful_shutdown=2,
        h11_max_incomplete_event_size=32 * 1024,
        http=Impatient,
        ws="none",
        lifespan="off",
    )


class Impatient(H11Protocol):
    """Requests whose head comes within a limit of time; a connection that sends a byte now and then is
    closed (RFC 9110, 15.5.9: a server may close instead of answering 408)."""

    _waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._wait_for_head()

    def data_received(self, data: bytes) -> None:
        if self._waiting is None and self.conn.their_state is h11.IDLE:
            self._wait_for_head()
        super().data_received(data)
        if self.conn.their_state is not h11.IDLE:
            self._wait_no_more()

    def connection_lost(self, exc: Exception | None) -> None:
        self._wait_no_more()
        super().connection_lost(exc)

    def _wait_for_head(self) -> None:
        self._waiting = self.loop.call_later(MOST_HEAD_S, self.transport.close)

    def _wait_no_more(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None


def _listening(address: str, port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((address, port))
        listening.listen(
            MOST_CONNECTIONS
        )  # before the address is printed: whoever opens it at once waits, no more
    except OSError as error:
        listening.close()
        hint = "Choose another one, or leave --port out" if error.errno == errno.EADDRINUSE else None
        raise refuse("--port", f"cannot be opened: {error.strerror}", port, hint=hint) from None
    return listening


def _own_address() -> str:
    """This machine's address on the local network. Nothing is sent: a datagram socket only picks its way."""
    probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        probe.connect(("192.0.2.1", 9))  # RFC 5737: an address of nobody
        return str(probe.getsockname()[0])
    except OSError:
        raise refuse(
            "--lan", "this machine is on no network", hint="Connect it, or leave --lan out"
        ) from None
    finally:
        probe.close()


def _qr(link: str) -> str:
    """The address as a QR symbol of half blocks for a terminal (ISO/IEC 18004)."""
    import io

    out = io.StringIO()
    segno.make(link, error="l").terminal(out, compact=True)
    return out.getvalue()
