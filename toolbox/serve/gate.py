"""The gate before the screens in a browser: who may come in, decided from a request's headers.

Nothing here knows a web server. Three things are asked of every request: that it names this
machine as one may name it (else a foreign name that was pointed here reads along), that no
other site sent it, and that it shows what this browser was given for a one-time address.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from hashlib import sha256
from ipaddress import ip_address

LOOPBACK = ("localhost", "127.0.0.1", "::1")

NO_SUCH_NAME = "Refused: this machine does not go by that name here."
FOREIGN = "Refused: another site asked for this."
NOT_KNOWN = (
    "Refused: this browser was not let in. Open the address that the terminal shows in which "
    '"toolbox serve" runs. It works once; Enter there shows a new one.'
)


@dataclass(frozen=True, slots=True)
class Knock:
    """A request as far as the gate asks: headers as sent, None where one is missing.

    ``token`` is that of a one-time address, None where the request is not for the first page;
    ``live`` says that it wants a live connection, which other sites can ask for without leave.
    """

    host: str | None
    origin: str | None = None
    cookie: str | None = None
    token: str | None = None
    live: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What the gate says: why not ("" to let in), and a cookie for a browser newly let in."""

    refused: str = ""
    cookie: str | None = None


class Gate:
    """Lets browsers in by one-time tokens; of what it gave out it keeps digests only.

    ``names`` are the host names and addresses by which this machine may be asked, without
    ports: through a tunnel the port is another one. ``make`` makes what cannot be guessed.
    """

    def __init__(
        self, names: Iterable[str], make: Callable[[], str] = lambda: secrets.token_urlsafe(32)
    ) -> None:
        self._names = frozenset(name.casefold() for name in names)
        self._make = make
        self._token: bytes | None = None
        self._cookies: set[bytes] = set()

    def new_token(self) -> str:
        """A token that lets one browser in, once; one given out before and not used is void."""
        token = self._make()
        self._token = _digest(token)
        return token

    def answer(self, knock: Knock) -> Answer:
        """Whether to let this request in. A right token is used up by it."""
        if host_name(knock.host) not in self._names:
            return Answer(NO_SUCH_NAME)
        # A browser always says who opens a live connection; what does not say it is none.
        foreign = knock.origin != f"http://{knock.host}"
        if foreign and (knock.origin is not None or knock.live):
            return Answer(FOREIGN)
        if knock.cookie is not None and _digest(knock.cookie) in self._cookies:
            return Answer()
        if knock.token is not None and _digest(knock.token) == self._token:
            self._token = None
            cookie = self._make()
            self._cookies.add(_digest(cookie))
            return Answer(cookie=cookie)
        return Answer(NOT_KNOWN)


def host_name(host: str | None) -> str:
    """The name or address in a Host header, without its port, in small letters; "" if none."""
    if host is None:
        return ""
    name, colon, port = host.rpartition(":")
    if not colon or host.endswith("]"):
        name, port = host, ""
    if port and not (port.isascii() and port.isdigit()):
        return ""
    if name.startswith("[") and name.endswith("]"):
        return name[1:-1].casefold() if ":" in name else ""
    return "" if ":" in name else name.casefold()


def is_loopback(address: str) -> bool:
    """Whether an IP address, or "localhost", is reached from this machine alone."""
    return address == "localhost" or ip_address(address).is_loopback


def _digest(secret: str) -> bytes:
    # Digests are compared and not secrets: how long that takes tells nothing of them.
    return sha256(secret.encode("utf-8", "surrogatepass")).digest()
