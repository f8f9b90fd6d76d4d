"""Starts the server over and over, each time as a process of its own that can be killed.

What takes longest in a start is the imports: this process has done them, and each server is a fork
of it. A line on standard input starts one; its number and its address come on standard output.

    python -m tests.faults.nursery DATA_DIR PORT
"""

import os
import sys
from pathlib import Path

from sqlalchemy.orm import configure_mappers

from webapp.serving import serve
from webapp.settings import Settings


def main() -> None:
    settings = Settings(data_dir=Path(sys.argv[1]), port=int(sys.argv[2]))
    configure_mappers()  # as the first request would
    for _line in sys.stdin:
        child = os.fork()
        if child == 0:
            os._exit(serve(settings))
        print(child, flush=True)
        os.waitpid(child, 0)


if __name__ == "__main__":
    main()
