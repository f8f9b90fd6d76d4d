"""The application served to the workshop's network, asked from several devices there."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace

from fastapi import FastAPI
from httpx2 import Response
from starlette.testclient import TestClient

from webapp.app import create_app
from webapp.database import writing
from webapp.settings import Settings
from webapp.stages import people
from webapp.stages.access import passwords
from webapp.stages.access.passwords import Cost

HERE = "http://192.168.1.20:8000"
PC, TABLET, STRANGER = "192.168.1.31", "192.168.1.40", "192.168.1.66"
# Hashed at the least cost there is: the tests are about what is done with it.
CHEAP = Cost(passes=1, memory_kib=8, lanes=1)
PASSWORDS = {"Ada Quill": "brass ferrule lamp", "Ina Teal": "three grey herons"}
ADA, INA, JO = 1, 2, 3


@dataclass
class Lan:
    """A workshop of an owner and an office with passwords, and a bench without."""

    app: FastAPI
    _open: ExitStack

    def device(self, address: str = PC, origin: str | None = HERE) -> TestClient:
        """A browser in the network, with cookies of its own."""
        client = TestClient(
            self.app, HERE, raise_server_exceptions=False, client=(address, 50_000),
            headers={"Origin": origin} if origin else {},
        )  # fmt: skip
        return self._open.enter_context(client)

    def logged_in(self, name: str = "Ada Quill", address: str = PC) -> TestClient:
        client = self.device(address)
        answer = log_in(client, name, PASSWORDS[name])
        assert answer.url.path != "/log-in", answer.text
        return client

    def code(self, owner: TestClient, name: str = "Bench 1") -> str:
        return code_in(owner.post("/devices", data={"name": name}))

    def paired(self, name: str = "Bench 1") -> TestClient:
        code = self.code(self.logged_in(), name)
        client = self.device(TABLET)
        assert client.post("/pair", data={"code": code}).url.path == "/who"
        return client


def log_in(client: TestClient, name: str, password: str, **more: str) -> Response:
    ids = {"Ada Quill": ADA, "Ina Teal": INA, "Jo Sparrow": JO}
    person = str(ids.get(name, name))
    return client.post("/log-in", data={"person": person, "password": password, **more})


def code_in(answer: Response) -> str:
    assert answer.status_code == 200, answer.text
    return answer.text.partition('class="typed-code">')[2].partition("<")[0]


@contextmanager
def served_to_the_network(settings: Settings) -> Iterator[Lan]:
    """`settings` hold a workshop after its first-run page."""
    app = create_app(replace(settings, lan="192.168.1.20"))
    app.state.password_cost = CHEAP
    with writing(app.state.engine) as session:
        people.add(session, name="Ina Teal", initials="IT", role="office")
        people.add(session, name="Jo Sparrow", initials="JS", role="bench")
        for person_id, password in ((ADA, PASSWORDS["Ada Quill"]), (INA, PASSWORDS["Ina Teal"])):
            found = passwords.hash_new(session, person_id, password, password, CHEAP)
            passwords.give(session, person_id, found)
    with ExitStack() as stack:
        yield Lan(app, stack)
    app.state.engine.dispose()
