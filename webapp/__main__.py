"""Starts Loomwright from a checkout: `python3 -m webapp serve`.

This file parses on any Python 3, so that an old one can say what it lacks.
"""

import sys

OLDEST_PYTHON = (3, 11)


def version_problem(version: tuple) -> "str | None":  # type: ignore[type-arg]
    """What is wrong with this version of Python, if anything."""
    if tuple(version[:2]) >= OLDEST_PYTHON:
        return None
    return "Loomwright needs Python {}.{} or newer, and this is Python {}.{}.".format(
        *(OLDEST_PYTHON + tuple(version[:2]))
    )


def start() -> int:
    problem = version_problem(sys.version_info)
    if problem:
        sys.stderr.write(problem + "\n")
        return 2
    from webapp.launcher import environment
    from webapp.launcher.command_line import main

    return main(sys.argv[1:], before=environment.enter)


if __name__ == "__main__":
    sys.exit(start())
