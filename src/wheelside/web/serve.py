"""Running the server: on this machine only, or for the phones of the house."""

from __future__ import annotations

import contextlib
import gc
import socket
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wheelside.errors import BadRequest, Outside
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.doors import new_key
from wheelside.watch.prior import normal_loss_parts
from wheelside.web.callers import AT_ONCE, Callers, FrontDoor, most_callers
from wheelside.web.frame import templates
from wheelside.web.guard import Manners, names_with
from wheelside.web.repeats import say_once_a_minute
from wheelside.web.tls import Certified, certified

PORT = 8750
_EACH_SECOND = -(10**9)
"""How long ago the last sweep must be by the clock on the wall, of which none waits: it may be set back meanwhile."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """How the server is to be reached."""

    port: int = PORT
    lan: bool = False
    names: tuple[str, ...] = ()
    tls: bool = False
    certificate: Path | None = None
    key: Path | None = None
    tls_folder: Path = Path("wheelside.tls")
    car_link: str = ""

    @property
    def secure(self) -> bool:
        return self.tls or self.certificate is not None


@dataclass(frozen=True, slots=True)
class Ready:
    """A server that is about to run: its address, a link that lets one browser in, and its authority where it made one."""

    address: str
    link: str
    certified: Certified | None
    lan: bool


def own_addresses() -> tuple[str, ...]:
    """This machine's addresses on its networks, without asking anybody."""
    found = []
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as s:
            s.connect(("192.0.2.1", 9))  # TEST-NET-1: nothing is sent, the system only picks the way there
            found.append(str(s.getsockname()[0]))
    except OSError:  # no network at all
        pass
    return tuple(a for a in found if not a.startswith("127."))


def serve(
    desk: Desk, wanted: Wanted, tell: Callable[[Ready], None], example: tuple[str, date] = ("", date.min)
) -> None:
    """Serves until it is stopped; `tell` is called once it listens. `example`: a garage file to look round in. Raises Mendable, Outside."""
    import uvicorn

    from wheelside.web.app import make_app

    if (wanted.certificate is None) != (wanted.key is None):
        raise BadRequest("a certificate and its key go together: give both --certificate and --key, or neither")
    addresses = own_addresses() if wanted.lan else ()
    names = (*wanted.names, *addresses, *(_host_names() if wanted.lan else ()))
    made = certified(wanted.tls_folder, names_with(names), desk.clock().local) if wanted.tls else None
    address = _address(wanted, addresses)
    manners = Manners(names_with(names), wanted.secure, address, wanted.lan, made.authority if made else b"")
    callers = Callers(most_callers())
    listening = _listen(callers, "0.0.0.0" if wanted.lan else "127.0.0.1", wanted.port)  # noqa: S104  only where it is asked for
    files = (made.certificate, made.key) if made else (wanted.certificate, wanted.key)
    config = uvicorn.Config(
        make_app(desk, manners, wanted.car_link, example, callers), log_level="warning", access_log=False, server_header=False,
        proxy_headers=False, timeout_keep_alive=20, backlog=AT_ONCE,
        callback_notify=callers.sweep, timeout_notify=_EACH_SECOND,
        ssl_certfile=files[0], ssl_keyfile=files[1], lifespan="off", timeout_graceful_shutdown=5, h11_max_incomplete_event_size=64_000,
    )  # fmt: skip
    say_once_a_minute()
    server = uvicorn.Server(config)
    _warm_up()
    tell(Ready(address, f"{address}/in/{new_key(desk)}", made, wanted.lan))
    with listening, contextlib.suppress(KeyboardInterrupt):  # that is how it is stopped
        server.run(sockets=[listening])


_COLLECT = (20_000, 20, 50)
"""After how much more, and how seldom, the collector looks through what pages leave: each time stops all of them."""


def _warm_up() -> None:
    """Makes the first pages as quick as the later ones, and spares the collector what stays for good."""
    for name in templates().list_templates(filter_func=lambda n: n.endswith(".html")):
        templates().get_template(name)
    normal_loss_parts()  # with the libraries of numbers, which are loaded at their first use
    gc.collect()
    gc.freeze()
    gc.set_threshold(*_COLLECT)


def _host_names() -> Sequence[str]:
    name = socket.gethostname().lower()
    return (name, f"{name}.local") if name and "." not in name else (name,) if name else ()


def _address(wanted: Wanted, addresses: tuple[str, ...]) -> str:
    host = wanted.names[0] if wanted.names else addresses[0] if addresses else "127.0.0.1"
    return f"{'https' if wanted.secure else 'http'}://{host}:{wanted.port}"


def _listen(callers: Callers, host: str, port: int) -> socket.socket:
    try:
        made = FrontDoor(
            socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP
        )  # named, for small packets to go at once
        made.callers = callers
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
        made.listen()
    except OSError as error:
        raise Outside(
            f"listening on {host}:{port}: {error.strerror or error}; is it running already? Else give another --port"
        ) from error
    return made
