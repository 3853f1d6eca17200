"""What the one at the terminal is told: the address, as text and as a code, and what to mind."""

from __future__ import annotations

from importlib.util import find_spec

from toolbox.serve.gate import is_loopback

QUIET = 4
"""Light squares around a QR symbol on every side, as ISO/IEC 18004 asks."""


def bracketed(address: str) -> str:
    """An address as it stands in a URL: IPv6 in brackets."""
    return f"[{address}]" if ":" in address else address


def first_address(name: str, port: int, token: str) -> str:
    """The address that lets one browser in, once."""
    return f"http://{bracketed(name)}:{port}/?token={token}"


def tunnel(port: int, listen: str = "127.0.0.1") -> str:
    """How to reach a server that listens to its own machine only, from another device."""
    return f"ssh -L {port}:{bracketed(listen)}:{port} YOU@THIS-MACHINE"


def network_warning(listen: str, port: int) -> str:
    """What it means to listen on a network, and what is better."""
    return (
        f"At {listen} everybody on that network can knock, and it is plain http: who reads along "
        "there sees the screens, the one-time address and what lets your browser in, and can then "
        "do what you can do. Use it only on a network of your own. Better: leave --listen out, "
        f'and on the other device run "{tunnel(port)}".'
    )


def about(listen: str, port: int, *, look_only: bool) -> tuple[str, ...]:
    """What to know of the address, a paragraph each."""
    said = ["It works once, for one browser. Enter here shows a new one. Ctrl-C ends all screens."]
    if look_only:
        said.append("These screens only look: every change is refused.")
    if is_loopback(listen):
        said.append(
            "Only this machine is listened to. For a phone or tablet: run "
            f'"{tunnel(port, listen)}" there, then open the same address.'
        )
    else:
        said.append("WARNING. " + network_warning(listen, port))
    return tuple(said)


def code_lines(text: str) -> tuple[str, ...]:
    """A QR symbol in half blocks, dark on light with its own colours; empty without the library.

    Two squares stand one above the other in a sign, so that they look square.
    """
    if find_spec("segno") is None:
        return ()
    # an extra, and slow to load: only where a code is shown
    import segno

    # never a micro symbol: telephones do not read those
    inner = [bytes(row) for row in segno.make_qr(text, error="l", boost_error=False).matrix]
    across = len(inner) + 2 * QUIET
    rows = [bytes(across)] * QUIET
    rows += [bytes(QUIET) + row + bytes(QUIET) for row in inner]
    rows += [bytes(across)] * (QUIET + across % 2)
    signs = {(0, 0): " ", (1, 0): "\u2580", (0, 1): "\u2584", (1, 1): "\u2588"}
    return tuple(
        "\x1b[30;107m" + "".join(signs[pair] for pair in zip(upper, lower, strict=True)) + "\x1b[0m"
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    )
