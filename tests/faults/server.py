"""The server as its own process: started, killed with SIGKILL, started again."""

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path
from types import TracebackType
from typing import Self

from webapp.settings import Settings

CHECKOUT = Path(__file__).parents[2]
START_S = 30


class Server:
    """`start`, `wait_until_up` and `kill`, as often as wanted."""

    def __init__(self, settings: Settings, port: int) -> None:
        self.port = port
        self._pid = 0
        self._up = threading.Event()
        self._numbered = threading.Event()
        self._nursery = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.nursery", str(settings.data_dir), str(port)],
            cwd=CHECKOUT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self._reader = threading.Thread(target=self._read)
        self._reader.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._pid:
            self.kill()
        assert self._nursery.stdin is not None
        self._nursery.stdin.close()
        self._nursery.wait(START_S)
        self._reader.join()
        assert self._nursery.stdout is not None
        self._nursery.stdout.close()

    def start(self) -> None:
        """Returns as soon as the process is there, which is long before it answers."""
        self._up.clear()
        self._numbered.clear()
        assert self._nursery.stdin is not None
        self._nursery.stdin.write("start\n")
        self._nursery.stdin.flush()
        assert self._numbered.wait(START_S), "no server was started"

    def wait_until_up(self) -> None:
        assert self._up.wait(START_S), "the server did not start"

    def kill(self) -> None:
        os.kill(self._pid, signal.SIGKILL)
        self._pid = 0

    def _read(self) -> None:
        assert self._nursery.stdout is not None
        for line in self._nursery.stdout:
            if line.strip().isdigit():
                self._pid = int(line)
                self._numbered.set()
            elif "http://" in line:
                self._up.set()
