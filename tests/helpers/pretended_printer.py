"""A pretended printer on the loopback address: answers IPP over HTTP as it is told to, and keeps what it was asked.

It reads and writes messages with the project's own code; that this code does as the standard says is looked at in
`tests/workshop/printers/test_messages.py` (bytes written by hand) and `test_real_server.py` (another's server).
"""

from __future__ import annotations

import socket
import ssl
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from decalgen.workshop.printers.client import CREATE_JOB, GET_JOB, GET_JOBS, GET_PRINTER, PRINT_JOB, SEND_DOCUMENT
from decalgen.workshop.printers.messages import (
    BOOLEAN,
    CHARSET,
    COLLECTION,
    ENUM,
    INTEGER,
    JOB,
    KEYWORD,
    LANGUAGE,
    MIME,
    NAME,
    OPERATION,
    PRINTER,
    RANGE,
    UNSUPPORTED,
    URI,
    Attributes,
    IppValues,
    Message,
    Tagged,
    WholeRange,
    decode,
    encode,
    of,
    plain,
)

LONGEST = 20.0
"""So long a silent printer holds a line at most, s; its test ends it sooner."""


def size(wide: int | WholeRange, high: int | WholeRange) -> Tagged:
    """A sheet, 1/100 mm."""

    def side(value: int | WholeRange) -> IppValues:
        return of(RANGE if isinstance(value, WholeRange) else INTEGER, value)

    return Tagged(COLLECTION, {"x-dimension": side(wide), "y-dimension": side(high)})


A4, A5 = size(21000, 29700), size(14800, 21000)
OFFERS: dict[str, IppValues] = {
    "printer-info": of(NAME, "Film Printer"),
    "printer-make-and-model": of(NAME, "Pretended 1"),
    "printer-uuid": of(URI, "urn:uuid:0c5a6e10-7d21-4b8e-9f00-2a6d0c1b7e55"),
    "printer-state": of(ENUM, 3),
    "printer-state-reasons": of(KEYWORD, "none"),
    "printer-is-accepting-jobs": of(BOOLEAN, True),
    "operations-supported": of(ENUM, 2, 4, 5, 6, 8, 9, 10, 11),
    "document-format-supported": of(MIME, "application/pdf", "image/urf"),
    "print-scaling-supported": of(KEYWORD, "auto", "fit", "none"),
    "media-size-supported": (A4, A5),
    "media-col-supported": of(KEYWORD, "media-size", "media-source", "media-type", "media-top-margin"),
    "media-source-supported": of(KEYWORD, "auto", "main", "rear"),
    "media-type-supported": of(KEYWORD, "stationery", "transparency"),
    "media-top-margin-supported": of(INTEGER, 0, 500, 300),
    "sides-supported": of(KEYWORD, "one-sided"),
    "print-quality-supported": of(ENUM, 4, 5),
    "print-color-mode-supported": of(KEYWORD, "color"),
    "orientation-requested-supported": of(ENUM, 3, 4),
}


@dataclass
class Manner:
    """How it behaves. ``offers``: what it says of itself; ``keeps``: what it makes of a job's settings; ``status``: by
    operation; ``given_back``: the unsupported group, by operation; ``silent``: operations it never answers, after it
    took the document; ``raw``: bytes in place of every answer, ``cut``: how many bytes of an answer it sends;
    ``http``: its HTTP status, ``http_to``: that to an operation, after it took the document; ``dies_in``: operations in
    whose midst it breaks off; ``states``: of a job, one a look; ``busy``: so many answers to a job say it is busy;
    ``path``: where alone it answers; ``version``: the only one it speaks; ``first``: called with each request before it
    is answered."""

    offers: Mapping[str, IppValues] = field(default_factory=lambda: dict(OFFERS))
    keeps: Callable[[Attributes], Attributes] = dict
    status: Mapping[int, int] = field(default_factory=dict)
    given_back: Mapping[int, Attributes] = field(default_factory=dict)
    silent: frozenset[int] = frozenset()
    raw: bytes | None = None
    cut: int | None = None
    http: int = 200
    http_to: Mapping[int, int] = field(default_factory=dict)
    dies_in: frozenset[int] = frozenset()
    states: tuple[int, ...] = (9,)
    reasons: tuple[str, ...] = ("none",)
    busy: int = 0
    path: str = "/ipp/print"
    version: tuple[int, int] | None = None
    first: Callable[[Message], object] | None = None


@dataclass
class Pretended:
    """The printer and what came of it. ``documents``: the bytes of each file that it took; ``asked``: every request;
    ``begun``: the operation of each that began to arrive."""

    manner: Manner
    port: int = 0
    asked: list[Message] = field(default_factory=list)
    jobs: dict[int, Attributes] = field(default_factory=dict)
    names: dict[int, str] = field(default_factory=dict)
    documents: list[bytes] = field(default_factory=list)
    cancelled: list[int] = field(default_factory=list)
    looks: int = 0
    begun: list[int] = field(default_factory=list)
    released: threading.Event = field(default_factory=threading.Event)

    @property
    def uri(self) -> str:
        """Its address."""
        return f"ipp://127.0.0.1:{self.port}/ipp/print"

    def operations(self) -> list[int]:
        """What it was asked, in order."""
        return [one.code for one in self.asked]

    def answer(self, request: Message) -> Message | None:
        """What it says; None: nothing."""
        manner, operation = self.manner, request.code
        if manner.first:
            manner.first(request)
        self.asked.append(request)
        if operation in (PRINT_JOB, SEND_DOCUMENT):
            self.documents.append(request.data)
        if operation in manner.silent:
            self._new(request, operation)
            self.released.wait(LONGEST)
            return None
        if manner.version and request.version != manner.version:
            return said(request, 0x0503)
        if manner.busy and operation in (4, CREATE_JOB):
            manner.busy -= 1
            return said(request, 0x0507)
        code = manner.status.get(operation, 0)
        groups: list[tuple[int, Attributes]] = []
        if operation in manner.given_back:
            groups.append((UNSUPPORTED, manner.given_back[operation]))
        if code < 0x0100:
            groups += self._groups(request, operation)
        return said(request, code, groups)

    def _groups(self, request: Message, operation: int) -> list[tuple[int, Attributes]]:
        if operation == GET_PRINTER:
            return [(PRINTER, self.manner.offers)]
        if operation in (CREATE_JOB, PRINT_JOB):
            return [(JOB, {"job-id": of(INTEGER, self._new(request, operation))})]
        if operation == GET_JOB:
            return [(JOB, self._job(request))]
        if operation == GET_JOBS:
            return [(JOB, {"job-id": of(INTEGER, n), "job-name": of(NAME, name)}) for n, name in self.names.items()]
        if operation == 8:
            self.cancelled.append(_one(request.group(OPERATION), "job-id"))
        return []

    def _new(self, request: Message, operation: int) -> int:
        number = len(self.jobs) + 41
        if operation in (CREATE_JOB, PRINT_JOB):
            self.jobs[number] = dict(request.group(JOB))
            self.names[number] = _one(request.group(OPERATION), "job-name")
        return number

    def _job(self, request: Message) -> Attributes:
        number = _one(request.group(OPERATION), "job-id")
        states = self.manner.states
        state = states[min(self.looks, len(states) - 1)] if self.documents else 4
        self.looks += bool(self.documents)
        told = {"job-state": of(ENUM, state), "job-state-reasons": of(KEYWORD, *self.manner.reasons)}
        return {**self.manner.keeps(self.jobs[number]), **told}


def _one(attributes: Attributes, name: str) -> object:
    return plain(attributes[name])[0]


def said(request: Message, code: int, groups: list[tuple[int, Attributes]] | None = None) -> Message:
    """An answer to a request."""
    head = {"attributes-charset": of(CHARSET, "utf-8"), "attributes-natural-language": of(LANGUAGE, "en")}
    return Message(code, request.request, ((OPERATION, head), *(groups or [])), request.version)


@contextmanager
def pretended(manner: Manner | None = None, certificate: Path | None = None) -> Iterator[Pretended]:
    """A printer that answers while the context lasts; with a ``certificate`` (and its key in the same file) over
    TLS, and without it with HTTP status 426, which asks for TLS (RFC 9110, 15.5.22)."""
    printer = Pretended(manner or Manner())

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            # Version, operation and number of the request (RFC 8010, 3.1.1).
            head = self.rfile.read(8)
            operation = int.from_bytes(head[2:4], "big")
            printer.begun.append(operation)
            if operation in printer.manner.dies_in:
                self.close_connection = True
                self.connection.shutdown(socket.SHUT_RDWR)
                return
            data = head + self.rfile.read(int(self.headers["Content-Length"]) - len(head))
            status = printer.manner.http if self.path == printer.manner.path else 404
            if operation in printer.manner.http_to:
                printer.answer(decode(data))
                status = printer.manner.http_to[operation]
            if certificate and not isinstance(self.connection, ssl.SSLSocket):
                status = 426
            if status != 200:
                self.send_response(status)
                self.send_header("Content-Length", "0")
                self.end_headers()
                return
            answer = printer.answer(decode(data))
            if answer is None:
                self.close_connection = True
                return
            body = encode(answer) if printer.manner.raw is None else printer.manner.raw
            self.send_response(200)
            self.send_header("Content-Type", "application/ipp")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body[: printer.manner.cut])
            self.close_connection = True

        def log_message(self, *_: object) -> None:
            pass

    class Server(ThreadingHTTPServer):
        daemon_threads = True

        def handle_error(self, *_: object) -> None:
            """A client that left while its printer kept silent is no fault."""

        def get_request(self) -> tuple[socket.socket, object]:
            """Over TLS where the client begins so: 22 is the first byte of a handshake (RFC 8446, 5.1)."""
            line, sender = super().get_request()
            line.settimeout(LONGEST)
            if certificate and line.recv(1, socket.MSG_PEEK) == b"\x16":
                context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
                context.load_cert_chain(certificate)
                line = context.wrap_socket(line, server_side=True)
            return line, sender

    server = Server(("127.0.0.1", 0), Handler)
    printer.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield printer
    finally:
        printer.released.set()
        server.shutdown()
        server.server_close()
        thread.join(LONGEST)
