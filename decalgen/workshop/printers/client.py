"""Asking a printer: one IPP request over HTTP, one answer (RFC 8010, 4). A request that holds a document is never sent
twice by itself; one without is, over TLS, where the printer wants that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from decalgen.core.errors import PrintingError
from decalgen.core.values import dataclass
from decalgen.workshop.printers.addresses import PATHS, Address
from decalgen.workshop.printers.messages import (
    CHARSET,
    INTEGER,
    KEYWORD,
    LANGUAGE,
    NAME,
    OPERATION,
    PRINTER,
    URI,
    Attributes,
    IppValues,
    Message,
    NoMessageError,
    decode,
    encode,
    of,
)

if TYPE_CHECKING:
    from http.client import HTTPConnection, HTTPResponse

PRINT_JOB, VALIDATE_JOB, CREATE_JOB, SEND_DOCUMENT = 0x02, 0x04, 0x05, 0x06
CANCEL_JOB, GET_JOB, GET_JOBS, GET_PRINTER = 0x08, 0x09, 0x0A, 0x0B
"""Operations (RFC 8011, 5.4.15)."""
IGNORED, BAD_ATTRIBUTES, NOT_FOUND, BAD_VERSION, BUSY = 0x0001, 0x040B, 0x0406, 0x0503, 0x0507
"""Statuses (RFC 8011, appendix B)."""
FIRST_ERROR = 0x0100
MOST_ANSWER_BYTES = 4_000_000
USER = "decalgen"
"""Who asks; a printer that keeps one's jobs from others takes it at its word."""
CHECK = "see that it is on and on the same network; `decalgen printers` lists those that answer"

REFUSALS = {
    401: ("asks for a password", "let it print without one in its own settings"),
    403: ("does not let this computer print", "allow it in the printer's own settings"),
}
"""HTTP statuses that mean something of their own (RFC 9110, 15.5.2 and 15.5.4): what is said of them, and the fix."""


@dataclass(frozen=True)
class Patience:
    """How long to wait, s: to be let in, for an answer, for one after a document; between two looks at a job, and how
    long to look at all."""

    connect: float = 5.0
    answer: float = 15.0
    document: float = 60.0
    pause: float = 2.0
    watch: float = 120.0


class SilenceError(PrintingError):
    """A request went out and no answer came: whether it was done is not known."""


class UnclearError(SilenceError):
    """A document went out, and what came back is no answer of a printer to it, such as a fault of its web server."""


class UnknownPathError(PrintingError):
    """There is no printer at this path of its host."""


class IppClient:
    """One printer by its address. ``address`` is where it answered: after `greet` also the path and TLS it wants."""

    def __init__(self, address: Address, patience: Patience | None = None) -> None:
        self.address = address
        self.patience = patience or Patience()
        self.version = (2, 0)
        self._requests = 0

    def greet(self, wanted: Sequence[str]) -> Attributes:
        """What the printer says of itself, of the attributes ``wanted``; finds its path where none was given, the
        version it speaks, and whether it wants TLS. Raises PrintingError."""
        paths = PATHS if self.address.guessed else (self.address.path,)
        for path in paths:
            self.address = replace(self.address, path=path)
            try:
                answer = self._greeted(wanted)
            except UnknownPathError:
                continue
            if answer.code == NOT_FOUND:
                continue
            if answer.code >= FIRST_ERROR:
                raise PrintingError(
                    f"{self.address} does not say what it can (IPP status {answer.code:#06x})",
                    fix="print through the computer's own print dialog, at 100 %",
                )
            return answer.group(PRINTER)
        raise PrintingError(
            f"there is no printer at {self.address.place} under {' or '.join(paths)}",
            fix="look its address up in its network settings, path included; `decalgen printers` lists those found",
        )

    def _greeted(self, wanted: Sequence[str]) -> Message:
        asked = {"requested-attributes": of(KEYWORD, *wanted)}
        answer = self.ask(GET_PRINTER, asked)
        if answer.code == BAD_VERSION:
            self.version = (1, 1)
            answer = self.ask(GET_PRINTER, asked)
        return answer

    def ask(
        self,
        operation: int,
        more: Mapping[str, IppValues] | None = None,
        groups: Sequence[tuple[int, Attributes]] = (),
        document: bytes = b"",
        job: int | None = None,
    ) -> Message:
        """The answer to one request. ``more``: of its operation group, after what each has; ``job``: which one it is
        about. Raises PrintingError where the printer was not reached or is no printer, SilenceError where a request
        went out and nothing that can be read came back."""
        self._requests += 1
        operation_group: dict[str, IppValues] = {
            "attributes-charset": of(CHARSET, "utf-8"),
            "attributes-natural-language": of(LANGUAGE, "en"),
            "printer-uri": of(URI, str(self.address)),
        }
        if job is not None:
            operation_group["job-id"] = of(INTEGER, job)
        operation_group |= {"requesting-user-name": of(NAME, USER), **(more or {})}
        request = Message(operation, self._requests, ((OPERATION, operation_group), *groups), self.version)
        data = self._exchanged(encode(request), document)
        try:
            answer = decode(data)
        except NoMessageError as error:
            raise SilenceError(
                f"what {self.address} answers is not an answer of a printer: {error}",
                fix="look its address up in its network settings; a printer without IPP prints through the dialog",
            ) from None
        return answer

    # ------------------------------------------------------------------------------------------------------ HTTP
    def _exchanged(self, message: bytes, document: bytes) -> bytes:
        try:
            return self._posted(message, document)
        except _UpgradeError:
            if self.address.secure:
                raise self._no_answer("asks for TLS over and over", document) from None
            if document:
                raise self._no_answer("asks for TLS", document) from None
            self.address = replace(self.address, secure=True)
            return self._posted(message, document)

    def _no_answer(self, what: str, document: bytes, fix: str = CHECK) -> PrintingError:
        """What is raised for an answer that is none of a printer: once a document went out, only that is certain."""
        return (UnclearError if document else PrintingError)(f"{self.address} {what}", fix=fix)

    def _posted(self, message: bytes, document: bytes) -> bytes:
        import ssl
        from http.client import HTTPException

        connection = self._connection()
        try:
            try:
                connection.putrequest("POST", self.address.path, skip_accept_encoding=True)
                connection.putheader("Content-Type", "application/ipp")
                connection.putheader("Content-Length", str(len(message) + len(document)))
                connection.endheaders()
                self._known(connection)
            except ssl.SSLError:
                raise PrintingError(f"{self.address} does not speak TLS", fix="try it with ipp:// instead") from None
            except (OSError, HTTPException, UnicodeError) as error:
                raise PrintingError(f"{self.address} cannot be reached: {_why(error)}", fix=CHECK) from None
            assert connection.sock is not None
            connection.sock.settimeout(self.patience.document if document else self.patience.answer)
            try:
                connection.send(message)
                if document:
                    connection.send(document)
                return self._answer(connection.getresponse(), document)
            except TimeoutError:
                raise SilenceError(f"{self.address} does not answer", fix=CHECK) from None
            except (OSError, HTTPException) as error:
                raise SilenceError(f"{self.address} broke off: {_why(error)}", fix=CHECK) from None
        finally:
            connection.close()

    def _connection(self) -> HTTPConnection:
        from http.client import HTTPConnection, HTTPSConnection

        host, port, seconds = self.address.host, self.address.port, self.patience.connect
        if not self.address.secure:
            return HTTPConnection(host, port, timeout=seconds)
        import ssl

        context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        # A printer signs its own certificate: what is kept of it is checked instead.
        context.check_hostname = False
        context.verify_mode = ssl.CERT_NONE
        return HTTPSConnection(host, port, timeout=seconds, context=context)

    def _known(self, connection: HTTPConnection) -> None:
        """Raises PrintingError where a printer over TLS is not the one that was met before."""
        import ssl

        if isinstance(connection.sock, ssl.SSLSocket):
            from decalgen.workshop.printers.certificates import check_certificate

            check_certificate(self.address.place, connection.sock.getpeercert(binary_form=True) or b"")

    def _answer(self, response: HTTPResponse, document: bytes) -> bytes:
        status = response.status
        if status == 426:
            raise _UpgradeError
        if status == 404 and not document:
            raise UnknownPathError(f"there is no printer at {self.address}", fix=CHECK)
        if status in REFUSALS:
            what, fix = REFUSALS[status]
            raise self._no_answer(what, document, f"{fix}, or use the print dialog")
        if status != 200:
            raise self._no_answer(f"answers with HTTP status {status}", document)
        return self._body(response)

    def _body(self, response: HTTPResponse) -> bytes:
        """The whole of an answer, within the time and size that one may have."""
        from time import monotonic

        end = monotonic() + self.patience.document
        parts: list[bytes] = []
        total = 0
        while part := response.read1(65536):
            parts.append(part)
            total += len(part)
            if total > MOST_ANSWER_BYTES or monotonic() > end:
                raise SilenceError(f"the answer of {self.address} has no end", fix=CHECK)
        return b"".join(parts)


class _UpgradeError(Exception):
    """The printer wants TLS."""


def _why(error: Any) -> str:
    return str(getattr(error, "strerror", None) or error or type(error).__name__).lower()
