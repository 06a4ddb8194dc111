"""A mail server on loopback that takes letters, or answers as it is told."""

import socketserver
import threading
from contextlib import contextmanager
from email import message_from_bytes, policy


class _Session(socketserver.StreamRequestHandler):
    def say(self, words):
        self.wfile.write(words.encode() + b"\r\n")

    def handle(self):
        self.say("220 here")
        for line in self.rfile:
            word = line.decode().strip().upper()
            if word == "DATA":
                self.say("354 go on")
                self.server.taken.append(self._letter())
                self.say("250 taken")
            elif word == "QUIT":
                self.say("221 bye")
                return
            else:
                self.say(self.server.answers.get(word.split()[0], "250 well"))

    def _letter(self):
        lines = []
        while (line := self.rfile.readline()) != b".\r\n":
            lines.append(line)
        return message_from_bytes(b"".join(lines), policy=policy.default)


class Server(socketserver.ThreadingTCPServer):
    daemon_threads = True

    def __init__(self):
        super().__init__(("127.0.0.1", 0), _Session)
        self.taken, self.answers = [], {}

    @property
    def port(self):
        return self.server_address[1]


@contextmanager
def mail_server():
    with Server() as server:
        threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True).start()
        yield server
        server.shutdown()
