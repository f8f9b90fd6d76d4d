"""The socket that pages are served from."""

import asyncio
import socket
from dataclasses import replace

from webapp.serving import _bound
from webapp.settings import Settings


class Heard(asyncio.Protocol):
    """Asks of a connection that has come in whether small answers wait for each other there."""

    def __init__(self, at_once: asyncio.Future[int]) -> None:
        self.at_once = at_once

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        own: socket.socket = transport.get_extra_info("socket")
        self.at_once.set_result(own.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
        transport.close()


def test_an_answer_does_not_wait_for_its_head_to_be_acknowledged(settings: Settings) -> None:
    async def heard() -> int:
        loop = asyncio.get_running_loop()
        at_once: asyncio.Future[int] = loop.create_future()
        with _bound("127.0.0.1", replace(settings, port=0)) as listener:
            server = await loop.create_server(lambda: Heard(at_once), sock=listener)
            _, writer = await asyncio.open_connection(*listener.getsockname())
            found = await at_once
            writer.close()
            server.close()
            return found

    assert asyncio.run(heard())
