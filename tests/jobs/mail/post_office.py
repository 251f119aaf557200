"""A mail server of a test: a real socket that speaks SMTP (RFC 5321) and obeys."""

from __future__ import annotations

import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field


@dataclass
class Office:
    """What came in, and how it answers.

    answers  to a command's first word, in place of 250; "" closes the line
    after_data  what is answered when the whole mail has come
    """

    port: int = 0
    mails: list[str] = field(default_factory=list)
    answers: dict[str, str] = field(default_factory=dict)
    after_data: str = "250 taken"
    got_one: threading.Event = field(default_factory=threading.Event)
    let_go: threading.Event = field(default_factory=threading.Event)
    waits: bool = False


@contextmanager
def mail_server() -> Iterator[Office]:
    """The server, for as long as it is needed."""
    office = Office()

    class Line(socketserver.StreamRequestHandler):
        def handle(self) -> None:
            self.say("220 test ESMTP")
            while raw := self.rfile.readline():
                word = raw.decode().split()[0].upper().strip() if raw.strip() else ""
                if (answer := office.answers.get(word)) is not None:
                    if not answer:
                        return
                    self.say(answer)
                elif word == "DATA":
                    self.say("354 go on")
                    if not self.data():
                        return
                elif word == "QUIT":
                    self.say("221 bye")
                    return
                else:
                    self.say("250 ok")

        def data(self) -> bool:
            lines = []
            while (line := self.rfile.readline()) not in (b".\r\n", b""):
                lines.append(line.decode())
            office.mails.append("".join(lines))
            office.got_one.set()
            if office.waits:
                office.let_go.wait(30)
            if office.after_data:
                self.say(office.after_data)
            return bool(office.after_data)

        def say(self, text: str) -> None:
            self.wfile.write(text.encode() + b"\r\n")

    class Server(socketserver.ThreadingTCPServer):
        daemon_threads = True

    with Server(("127.0.0.1", 0), Line) as server:
        office.port = server.server_address[1]
        thread = threading.Thread(target=server.serve_forever, args=(0.05,))
        thread.start()
        try:
            yield office
        finally:
            office.let_go.set()
            server.shutdown()
            thread.join()
