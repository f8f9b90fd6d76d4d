"""Asks the application for its pages in this process: nothing of a socket is measured."""

import asyncio
from types import TracebackType
from typing import Any, Self

from fastapi import FastAPI

HOST, PORT = "127.0.0.1", 8000


class Asking:
    """One event loop for as long as pages are asked for, as when they are served."""

    def __init__(self, app: FastAPI) -> None:
        self._app = app
        self._loop = asyncio.Runner()

    def __enter__(self) -> Self:
        self._loop.__enter__()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._loop.__exit__(kind, error, trace)

    def status(self, address: str) -> int:
        """Asks for a page, takes it whole, and returns its status."""
        return self._loop.run(self._get(address))

    async def _get(self, address: str) -> int:
        statuses: list[int] = []

        async def receive() -> dict[str, Any]:
            return {"type": "http.request", "body": b"", "more_body": False}

        async def send(message: dict[str, Any]) -> None:
            if message["type"] == "http.response.start":
                statuses.append(message["status"])

        await self._app(_scope(address), receive, send)  # type: ignore[arg-type]
        return statuses[0]


def _scope(address: str) -> dict[str, Any]:
    return {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": address,
        "raw_path": address.encode(),
        "query_string": b"",
        "root_path": "",
        "headers": [(b"host", f"{HOST}:{PORT}".encode())],
        "client": (HOST, PORT + 1),
        "server": (HOST, PORT),
    }
