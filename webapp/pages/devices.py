"""Which device a request comes from. It stands before every page, and sets `request.state.device`.

Served for this computer alone, no device is asked for and everybody is let in.
"""

from starlette.types import ASGIApp, Receive, Scope, Send

from webapp.stages.access.devices import DeviceNow


class KnowDevice:
    """Sets `device` in the request's state."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            device: DeviceNow | None = None
            scope.setdefault("state", {})["device"] = device
        await self.app(scope, receive, send)
