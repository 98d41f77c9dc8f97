"""A mail server for one test: it listens, takes letters slowly, and keeps what it was sent."""

import socketserver
import threading
import time
from collections.abc import Container, Iterable, Iterator
from contextlib import contextmanager

PAUSE = 0.02  # seconds for each letter: two senders at once surely meet


class _Talk(socketserver.StreamRequestHandler):
    """As much of RFC 5321 as a client needs that sends plain letters."""

    server: "_Server"

    def handle(self) -> None:
        self._say("220 ready")
        while line := self.rfile.readline():
            word = line.decode().strip().upper()
            if word.startswith("EHLO"):
                self._say("250 hello")
            elif word == "DATA":
                self._say("354 go on")
                self._take()
                self._say("250 taken")
            elif word.startswith("RCPT TO:") and word[8:].strip("<> ") in self.server.not_now:
                self._say("450 that box is busy, try again")
            elif word == "QUIT":
                self._say("221 goodbye")
                return
            else:  # MAIL, RCPT, RSET
                self._say("250 well")

    def _take(self) -> None:
        lines = []
        while (line := self.rfile.readline()) not in (b".\r\n", b""):
            lines.append(line)
        time.sleep(PAUSE)
        self.server.kept.append(b"".join(lines))

    def _say(self, words: str) -> None:
        self.wfile.write(f"{words}\r\n".encode())


class _Server(socketserver.ThreadingTCPServer):
    allow_reuse_address = True
    daemon_threads = True

    def __init__(self, port: int, not_now: Container[str]) -> None:
        self.kept: list[bytes] = []
        self.not_now = not_now
        super().__init__(("127.0.0.1", port), _Talk)


@contextmanager
def mail_server(port: int, *, not_now: Iterable[str] = ()) -> Iterator[list[bytes]]:
    """The letters it has taken so far, as they came; those for `not_now` it puts off."""
    with _Server(port, {address.upper() for address in not_now}) as server:
        thread = threading.Thread(target=server.serve_forever, args=(0.05,))
        thread.start()
        try:
            yield server.kept
        finally:
            server.shutdown()
            thread.join()
